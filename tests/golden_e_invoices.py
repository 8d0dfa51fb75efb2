"""Golden e-invoices of the two syntaxes of EN 16931, built by hand and small."""

from __future__ import annotations

from drawn_sheets import Drawing

_UBL = (
    'xmlns:cac="urn:oasis:names:specification:ubl:schema:xsd:CommonAggregateComponents-2" '
    'xmlns:cbc="urn:oasis:names:specification:ubl:schema:xsd:CommonBasicComponents-2"'
)
_INVOICE = f'xmlns="urn:oasis:names:specification:ubl:schema:xsd:Invoice-2" {_UBL}'
_CREDIT = f'xmlns="urn:oasis:names:specification:ubl:schema:xsd:CreditNote-2" {_UBL}'
_CII = (
    'xmlns:rsm="urn:un:unece:uncefact:data:standard:CrossIndustryInvoice:100" '
    'xmlns:ram="urn:un:unece:uncefact:data:standard:ReusableAggregateBusinessInformationEntity:100" '
    'xmlns:udt="urn:un:unece:uncefact:data:standard:UnqualifiedDataType:100"'
)


def _parties(lab: str, clinic: str) -> str:
    """Who sells and who buys, in UBL."""
    return f"""  <cac:AccountingSupplierParty><cac:Party>
    <cac:PartyName><cbc:Name>{lab}</cbc:Name></cac:PartyName>
  </cac:Party></cac:AccountingSupplierParty>
  <cac:AccountingCustomerParty><cac:Party>
    <cac:PartyName><cbc:Name>{clinic}</cbc:Name></cac:PartyName>
  </cac:Party></cac:AccountingCustomerParty>"""


def _item(name: str, description: str = "") -> str:
    """What a line is for, in UBL."""
    said = f"<cbc:Description>{description}</cbc:Description>" if description else ""
    tax = "<cac:ClassifiedTaxCategory><cbc:ID>S</cbc:ID><cbc:Percent>20</cbc:Percent>"
    tax += "<cac:TaxScheme><cbc:ID>VAT</cbc:ID></cac:TaxScheme></cac:ClassifiedTaxCategory>"
    return f"<cac:Item>{said}<cbc:Name>{name}</cbc:Name>{tax}</cac:Item>"


_A_UBL = f"""<?xml version="1.0" encoding="UTF-8"?>
<Invoice {_INVOICE}>
  <cbc:ID>A-2020</cbc:ID>
  <cbc:IssueDate>2026-05-11</cbc:IssueDate>
  <cbc:InvoiceTypeCode>380</cbc:InvoiceTypeCode>
  <cbc:DocumentCurrencyCode>USD</cbc:DocumentCurrencyCode>
{_parties("A Lab of Ceramics", "North")}
  <cac:TaxTotal><cbc:TaxAmount currencyID="USD">69.17</cbc:TaxAmount>
    <cac:TaxSubtotal><cbc:TaxableAmount currencyID="USD">345.84</cbc:TaxableAmount>
      <cbc:TaxAmount currencyID="USD">69.17</cbc:TaxAmount>
      <cac:TaxCategory><cbc:ID>S</cbc:ID><cbc:Percent>20</cbc:Percent>
        <cac:TaxScheme><cbc:ID>VAT</cbc:ID></cac:TaxScheme></cac:TaxCategory>
    </cac:TaxSubtotal>
  </cac:TaxTotal>
  <cac:LegalMonetaryTotal>
    <cbc:LineExtensionAmount currencyID="USD">345.84</cbc:LineExtensionAmount>
    <cbc:TaxExclusiveAmount currencyID="USD">345.84</cbc:TaxExclusiveAmount>
    <cbc:TaxInclusiveAmount currencyID="USD">415.01</cbc:TaxInclusiveAmount>
    <cbc:PayableAmount currencyID="USD">415.01</cbc:PayableAmount>
  </cac:LegalMonetaryTotal>
  <cac:InvoiceLine>
    <cbc:ID>1</cbc:ID>
    <cbc:InvoicedQuantity unitCode="C62">1</cbc:InvoicedQuantity>
    <cbc:LineExtensionAmount currencyID="USD">150.00</cbc:LineExtensionAmount>
    {_item("PFM precious", "tooth 36")}
    <cac:Price><cbc:PriceAmount currencyID="USD">150.00</cbc:PriceAmount></cac:Price>
  </cac:InvoiceLine>
  <cac:InvoiceLine>
    <cbc:ID>2</cbc:ID>
    <cbc:InvoicedQuantity unitCode="GRM">3.2</cbc:InvoicedQuantity>
    <cbc:LineExtensionAmount currencyID="USD">195.84</cbc:LineExtensionAmount>
    {_item("ceramic gold alloy", "tooth 36")}
    <cac:Price><cbc:PriceAmount currencyID="USD">61.20</cbc:PriceAmount></cac:Price>
  </cac:InvoiceLine>
</Invoice>
"""

_B_UBL = f"""<?xml version="1.0" encoding="UTF-8"?>
<Invoice {_INVOICE}>
  <cbc:ID>B-1050</cbc:ID>
  <cbc:IssueDate>2026-05-12</cbc:IssueDate>
  <cbc:InvoiceTypeCode>380</cbc:InvoiceTypeCode>
  <cbc:DocumentCurrencyCode>USD</cbc:DocumentCurrencyCode>
{_parties("B Crown and Bridge Works", "Hillside Dental")}
  <cac:AllowanceCharge><cbc:ChargeIndicator>1</cbc:ChargeIndicator>
    <cbc:AllowanceChargeReason>Shipping</cbc:AllowanceChargeReason>
    <cbc:Amount currencyID="USD">13.00</cbc:Amount></cac:AllowanceCharge>
  <cac:AllowanceCharge><cbc:ChargeIndicator>0</cbc:ChargeIndicator>
    <cbc:AllowanceChargeReason>Discount</cbc:AllowanceChargeReason>
    <cbc:Amount currencyID="USD">10.00</cbc:Amount></cac:AllowanceCharge>
  <cac:TaxTotal><cbc:TaxAmount currencyID="USD">0.00</cbc:TaxAmount></cac:TaxTotal>
  <cac:LegalMonetaryTotal>
    <cbc:LineExtensionAmount currencyID="USD">435.00</cbc:LineExtensionAmount>
    <cbc:TaxExclusiveAmount currencyID="USD">438.00</cbc:TaxExclusiveAmount>
    <cbc:TaxInclusiveAmount currencyID="USD">438.00</cbc:TaxInclusiveAmount>
    <cbc:AllowanceTotalAmount currencyID="USD">10.00</cbc:AllowanceTotalAmount>
    <cbc:ChargeTotalAmount currencyID="USD">13.00</cbc:ChargeTotalAmount>
    <cbc:PayableAmount currencyID="USD">438.00</cbc:PayableAmount>
  </cac:LegalMonetaryTotal>
  <cac:InvoiceLine>
    <cbc:ID>1</cbc:ID>
    <cbc:InvoicedQuantity unitCode="C62">1</cbc:InvoicedQuantity>
    <cbc:LineExtensionAmount currencyID="USD">120.00</cbc:LineExtensionAmount>
    {_item("Full cast crown high noble", "#30")}
    <cac:Price><cbc:PriceAmount currencyID="USD">120.00</cbc:PriceAmount></cac:Price>
  </cac:InvoiceLine>
  <cac:InvoiceLine>
    <cbc:ID>2</cbc:ID>
    <cbc:InvoicedQuantity unitCode="DWT">2.1</cbc:InvoicedQuantity>
    <cbc:LineExtensionAmount currencyID="USD">315.00</cbc:LineExtensionAmount>
    {_item("yellow casting alloy")}
    <cac:Price><cbc:PriceAmount currencyID="USD">150.00</cbc:PriceAmount></cac:Price>
  </cac:InvoiceLine>
</Invoice>
"""

_B_CREDIT = f"""<?xml version="1.0" encoding="UTF-8"?>
<CreditNote {_CREDIT}>
  <cbc:ID>B-1051</cbc:ID>
  <cbc:IssueDate>2026-05-13</cbc:IssueDate>
  <cbc:CreditNoteTypeCode>381</cbc:CreditNoteTypeCode>
  <cbc:DocumentCurrencyCode>USD</cbc:DocumentCurrencyCode>
{_parties("B Crown and Bridge Works", "North")}
  <cac:LegalMonetaryTotal>
    <cbc:LineExtensionAmount currencyID="USD">145.00</cbc:LineExtensionAmount>
    <cbc:TaxExclusiveAmount currencyID="USD">145.00</cbc:TaxExclusiveAmount>
    <cbc:TaxInclusiveAmount currencyID="USD">145.00</cbc:TaxInclusiveAmount>
    <cbc:PayableAmount currencyID="USD">145.00</cbc:PayableAmount>
  </cac:LegalMonetaryTotal>
  <cac:CreditNoteLine>
    <cbc:ID>1</cbc:ID>
    <cbc:CreditedQuantity unitCode="C62">1</cbc:CreditedQuantity>
    <cbc:LineExtensionAmount currencyID="USD">145.00</cbc:LineExtensionAmount>
    {_item("FCZ crown", "#14")}
    <cac:Price><cbc:PriceAmount currencyID="USD">145.00</cbc:PriceAmount></cac:Price>
  </cac:CreditNoteLine>
</CreditNote>
"""

_C_CII = f"""<?xml version="1.0" encoding="UTF-8"?>
<rsm:CrossIndustryInvoice {_CII}>
  <rsm:ExchangedDocument>
    <ram:ID>C-3003</ram:ID>
    <ram:TypeCode>380</ram:TypeCode>
    <ram:IssueDateTime><udt:DateTimeString format="102">20260514</udt:DateTimeString></ram:IssueDateTime>
  </rsm:ExchangedDocument>
  <rsm:SupplyChainTradeTransaction>
    <ram:IncludedSupplyChainTradeLineItem>
      <ram:AssociatedDocumentLineDocument><ram:LineID>1</ram:LineID></ram:AssociatedDocumentLineDocument>
      <ram:SpecifiedTradeProduct>
        <ram:Name>Full contour zirconia crown</ram:Name>
        <ram:Description>tooth 16</ram:Description>
      </ram:SpecifiedTradeProduct>
      <ram:SpecifiedLineTradeAgreement>
        <ram:NetPriceProductTradePrice><ram:ChargeAmount>200.00</ram:ChargeAmount></ram:NetPriceProductTradePrice>
      </ram:SpecifiedLineTradeAgreement>
      <ram:SpecifiedLineTradeDelivery>
        <ram:BilledQuantity unitCode="C62">1</ram:BilledQuantity>
      </ram:SpecifiedLineTradeDelivery>
      <ram:SpecifiedLineTradeSettlement>
        <ram:SpecifiedTradeSettlementLineMonetarySummation>
          <ram:LineTotalAmount>200.00</ram:LineTotalAmount>
        </ram:SpecifiedTradeSettlementLineMonetarySummation>
      </ram:SpecifiedLineTradeSettlement>
    </ram:IncludedSupplyChainTradeLineItem>
    <ram:ApplicableHeaderTradeAgreement>
      <ram:SellerTradeParty><ram:Name>C Lab of the North</ram:Name></ram:SellerTradeParty>
      <ram:BuyerTradeParty><ram:Name>South</ram:Name></ram:BuyerTradeParty>
    </ram:ApplicableHeaderTradeAgreement>
    <ram:ApplicableHeaderTradeDelivery/>
    <ram:ApplicableHeaderTradeSettlement>
      <ram:InvoiceCurrencyCode>CAD</ram:InvoiceCurrencyCode>
      <ram:ApplicableTradeTax>
        <ram:CalculatedAmount>11.00</ram:CalculatedAmount><ram:TypeCode>VAT</ram:TypeCode>
        <ram:BasisAmount>220.00</ram:BasisAmount><ram:CategoryCode>S</ram:CategoryCode>
        <ram:RateApplicablePercent>5</ram:RateApplicablePercent>
      </ram:ApplicableTradeTax>
      <ram:SpecifiedTradeAllowanceCharge>
        <ram:ChargeIndicator><udt:Indicator>true</udt:Indicator></ram:ChargeIndicator>
        <ram:ActualAmount>20.00</ram:ActualAmount><ram:Reason>Shipping</ram:Reason>
      </ram:SpecifiedTradeAllowanceCharge>
      <ram:SpecifiedTradeSettlementHeaderMonetarySummation>
        <ram:LineTotalAmount>200.00</ram:LineTotalAmount>
        <ram:ChargeTotalAmount>20.00</ram:ChargeTotalAmount>
        <ram:TaxBasisTotalAmount>220.00</ram:TaxBasisTotalAmount>
        <ram:TaxTotalAmount currencyID="CAD">11.00</ram:TaxTotalAmount>
        <ram:GrandTotalAmount>231.00</ram:GrandTotalAmount>
        <ram:DuePayableAmount>231.00</ram:DuePayableAmount>
      </ram:SpecifiedTradeSettlementHeaderMonetarySummation>
    </ram:ApplicableHeaderTradeSettlement>
  </rsm:SupplyChainTradeTransaction>
</rsm:CrossIndustryInvoice>
"""

E_INVOICES: dict[str, Drawing] = {
    "a-ubl": Drawing(_A_UBL),
    "b-ubl": Drawing(_B_UBL),
    "b-ubl-credit": Drawing(_B_CREDIT),
    "c-cii": Drawing(_C_CII),
}

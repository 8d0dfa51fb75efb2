"""Golden invoices in text: comma-separated files in every encoding and with every mark that labs use."""

from __future__ import annotations

from drawn_sheets import Drawing

CSV: dict[str, Drawing] = {
    "a-date-text": Drawing(
        """
A Lab of Ceramics
Invoice | Date | Clinic | Tooth | Description | Qty | Unit price | Amount
A-2005 | 03/04/2026 | North | 16 | zir post | 1 | 141,00 | 141,00
A-2006 | 25/04/2026 | South | 17 | zir post | 1 | 141,00 | 141,00
""",
        mark=";",
    ),
    "a-munich": Drawing(
        """
A Lab of Ceramics
Invoice | A-2007
Date | 12.03.2026
Dentist | Dr. Münch
Account | 20417
Case | Tooth | Description | Qty | Unit price | Amount
1201 | 46 | Full contour zirconia crown | 1 | 1.185,50 | 1.185,50
1201 | | Custom stain | 1 | 42,30 | 42,30
| | | | Total | 1.227,80
""",
        mark=";",
        codec="cp1252",
    ),
    "a-sep-line": Drawing(
        """
sep=;
A Lab of Ceramics
Invoice | A-2008 | | Date | 19.03.2026
Clinic | South
Tooth | Work | Pieces | Price each | Total
34 | PFM non-precious | 1 | 98,00 | 98,00
35 | PFM precious | 1 | 130,00 | 130,00
35 | ceramic gold alloy 3,2 g à 61,20 | | | 195,84
| | | Sum | 423,84
""",
        mark=";",
    ),
    "a-quoted-newline": Drawing(
        """
A Lab of Ceramics
Invoice no | A-2009
Invoice date | 20 March 2026
Customer | 20417, North
Case | Tooth | Description | Qty | Amount
1301 | 14 | Full contour zirconia\\ncrown | 1 | 150.00
1302 | 25 | Lithium disilicate, crown | 1 | 170.00
| | Total | | 320.00
""",
        codec="utf-8-sig",
    ),
    "a-german": Drawing(
        """
A Lab of Ceramics
Rechnung Nr. | A-2011
Rechnungsdatum | 23.03.2026
Kundennummer | 20418
Auftrag | Zahn | Bezeichnung | Menge | Einzelpreis | Betrag
1401 | 26 | Full contour zirconia crown | 1 | 149,00 | 149,00
1402 | 27 | Full contour zirconia crown | 1 | 149,00 | 149,00
| | | | Zwischensumme | 298,00
| | | | MwSt 7 % | 20,86
| | | | Gesamtbetrag | 318,86
""",
        mark=";",
        codec="cp1252",
    ),
    "a-discount": Drawing(
        """
A Lab of Ceramics
Invoice no | A-2012
Invoice date | 2026-03-24
Clinic | North
Tooth | Description | Qty | Unit price | Amount
11 | Lithium disilicate crown | 1 | 160.00 | 160.00
21 | Lithium disilicate crown | 1 | 160.00 | 160.00
| Discount 5 % | | | -16.00
| Total | | | 304.00
""",
        mark="\t",
    ),
    "a-header-only": Drawing(
        """
A Lab of Ceramics
Invoice | Date | Clinic | Tooth | Description | Qty | Unit price | Amount
"""
    ),
    "b-nothing": Drawing(""),
    "b-page-break": Drawing(
        """
B Crown and Bridge Works
Invoice # | B-1002
Date | 03/16/2026
Account # | 20418
.
Case # | Tooth | Description | Qty | Price | Amount
5101 | 3 | PFM noble | 1 | 160.00 | 160.00
5101 | | ceramic palladium alloy 1.2 dwt @ 45.00/dwt | | | 54.00
Page 1 of 2
B Crown and Bridge Works
Case # | Tooth | Description | Qty | Price | Amount
Case 5101 (continued)
5101 | 14 | PFM noble | 1 | 160.00 | 160.00
5102 | 19 | FCZ | 1 | 145.00 | 145.00
| | | | Total | 519.00
"""
    ),
    "b-thousands": Drawing(
        """
B Crown and Bridge Works
Invoice # | B-1005
Date | 03/23/2026
Account | 20417
Tooth | Description | Qty | Unit Price | Amount
3-5 | Zirconia bridge | 3 | 411.52 | 1,234.56
| Shipping | 1 | 15.00 | 15.00
| | | TOTAL | $1,249.56
"""
    ),
    "b-tab-utf16": Drawing(
        """
B Crown and Bridge Works
Invoice No: B-1006 | | Date: 03/24/2026 | | Acct: 20418
Case | Tooth | Description | Qty | Unit Price | Extended
7001 | 30 | Full cast crown high noble | 1 | 120.00 | 120.00
7001 | 30 | yellow casting alloy 2.1 dwt @ 150.00/dwt | | | 315.00
7001 | | Handling and shipping | 1 | 13.00 | 13.00
| | | | TOTAL | 448.00
""",
        mark="\t",
        codec="utf-16",
    ),
    "b-pipe": Drawing(
        """
Lab | Invoice No | Inv Date | Case | Clinic | Tooth No | Service | Quantity | Price | Ext Price
lab B | B-1007 | 2026-03-25 | 7101 | North | 2 | FCZ | 1 | 145.00 | 145.00
lab B | B-1007 | 2026-03-25 | 7101 | North | 2 | Rush 25 % | 1 | 36.25 | 36.25
lab B | B-1008 | 2026-03-26 | 7102 | South | 31 | Titanium crown | 1 | 190.00 | 190.00
""",
        mark="|",
    ),
    "b-injection": Drawing(
        """
B Crown and Bridge Works
Invoice # | B-1009
Date | 03/27/2026
Account | 20417
Tooth | Description | Qty | Unit Price | Amount
4 | =HYPERLINK("http://example.invalid","FCZ") | 1 | 145.00 | 145.00
5 | +1 FCZ crown | 1 | 145.00 | 145.00
| Total | | | 290.00
"""
    ),
    "b-negatives": Drawing(
        """
B Crown and Bridge Works
Invoice # | B-1010
Date | 03/27/2026
Account | 20417
Tooth | Description | Qty | Unit Price | Amount
14 | FCZ crown | 1 | 185.00 | 185.00
| Credit | | | (10.00)
| Credit | | | 20.00-
| Credit | | | 30.00 CR
| Credit | | | −40.00
| TOTAL | | | 85.00
"""
    ),
    "b-no-quantity": Drawing(
        """
B Crown and Bridge Works
Invoice | B-1011 | Date | 03/30/2026 | Account | 20417
Amount | Tooth | Each | Description
290.00 | #2 #3 | 145.00 | FCZ crown
145.00 | #18 | 145.00 | FCZ crown
435.00 | | | Total
"""
    ),
    "b-renamed": Drawing(
        """
B Crown and Bridge Works
Invoice | B-1012 | Date | 04/29/2026 | Account | 20418
Extended amount | Teeth | Unit cost | Restoration | Pcs
148.00 | #19 | 148.00 | FCZ crown | 1
296.00 | #12, #13 | 148.00 | FCZ crown | 2
444.00 | | | Total |
"""
    ),
    "b-people": Drawing(
        """
B Crown and Bridge Works
Invoice # | B-1013
Date | 03/31/2026
Account | 20417
Case | Description | Qty | Amount
8001 | SMITH J #30 FCZ A2 | 1 | 145.00
8002 | Quillfeather, M - #8/9 Lithium disilicate crown B1 | 2 | 350.00
8003 | JONES P #29-x-31 Zirconia bridge A3 | 3 | 435.00
| Total | | 930.00
"""
    ),
    "b-teeth": Drawing(
        """
B Crown and Bridge Works
Invoice # | B-1014
Date | 03/31/2026
Account | 20417
Case | Tooth | Description | Qty | Unit price | Amount
8101 | #14 | FCZ crown | 1 | 145.00 | 145.00
8102 | 14,15 | FCZ crown | 2 | 145.00 | 290.00
8103 | 3-5 | Zirconia bridge | 3 | 145.00 | 435.00
8104 | 29-x-31 | Zirconia bridge | 3 | 145.00 | 435.00
8105 | #s 6 thru 11 | Lithium disilicate crown | 6 | 175.00 | 1050.00
8106 | UR6 | FCZ crown | 1 | 145.00 | 145.00
8107 | 8/9 | Lithium disilicate crown | 2 | 175.00 | 350.00
8108 | | FCZ crown | 1 | 145.00 | 145.00
8109 | K | Stainless steel crown | 1 | 30.00 | 30.00
8110 | UL | Night guard | 1 | 95.00 | 95.00
| | TOTAL | | | 3120.00
"""
    ),
    "b-alloy-surcharge": Drawing(
        """
B Crown and Bridge Works
Invoice # | B-1015
Date | 04/02/2026
Account | 20418
Case | Tooth | Description | Qty | Unit price | Amount
8201 | 30 | PFM high noble | 1 | 155.00 | 155.00
8201 | 30 | High noble surcharge | 1 | 120.00 | 120.00
| | TOTAL | | | 275.00
"""
    ),
    "b-copy-original": Drawing(
        """
B Crown and Bridge Works
Invoice # | B-1016
Date | 04/03/2026
Account | 20417
Case | Tooth | Description | Qty | Unit price | Amount
8301 | 12 | FCZ crown | 1 | 145.00 | 145.00
8302 | 13 | FCZ crown | 1 | 145.00 | 145.00
| | TOTAL | | | 290.00
"""
    ),
    "b-statement": Drawing(
        """
B Crown and Bridge Works
STATEMENT
Statement date | 03/31/2026
Account | 20417
Date | Reference | Description | Amount
| | Previous balance | 1,204.50
03/10/2026 | | Payment received - thank you | -1,204.50
03/04/2026 | B-1001 | Invoice | 407.00
03/20/2026 | B-1004 | Invoice | 435.00
| | Amount due | 842.00
"""
    ),
    "b-finance-charge": Drawing(
        """
B Crown and Bridge Works
Invoice # | B-1017
Date | 04/06/2026
Account | 20417
Tooth | Description | Qty | Unit price | Amount
20 | FCZ crown | 1 | 145.00 | 145.00
| Finance charge 2 % | | | 7.85
| TOTAL | | | 152.85
"""
    ),
    "b-deposit": Drawing(
        """
B Crown and Bridge Works
Invoice # | B-1018
Date | 04/07/2026
Account | 20417
Case | Tooth | Description | Qty | Unit price | Amount
8401 | 21 | FCZ crown | 1 | 145.00 | 145.00
8401 | 21 | Return deposit | 1 | 50.00 | 50.00
8402 | 28 | Return deposit, crown returned | 1 | -50.00 | -50.00
| | TOTAL | | | 145.00
"""
    ),
    "b-compact-dates": Drawing(
        """
B Crown and Bridge Works | Account 20418
Inv | Inv date | Job no | Tooth | Product | Units | Charge
B-1019 | 20260408 | 00811 | 7 | Lithium disilicate crown | 1 | 175.00
B-1019 | 20260408 | 00811 | 7 | Custom shade | 1 | 25.00
B-1020 | 20260409 | 00812 | 10 | Lithium disilicate crown | 1 | 175.00
"""
    ),
    "lab B South 2026-05": Drawing(
        """
Invoice no | Invoice date | Tooth | Description | Qty | Unit price | Amount
B-1021 | 05/14/2026 | 15 | FCZ crown | 1 | 145.00 | 145.00
B-1021 | 05/14/2026 | | Delivery | 1 | 12.00 | 12.00
B-1021 | 05/14/2026 | | Total | | | 157.00
"""
    ),
    "b-ounces": Drawing(
        """
B Crown and Bridge Works
Invoice # | B-1022
Date | 04/10/2026
Account | 20417
Tooth | Description | Qty | Unit price | Amount
18 | Full cast crown noble | 1 | 120.00 | 120.00
18 | pale casting alloy 0.1 oz @ 2400.00/oz | | | 240.00
| TOTAL | | | 360.00
"""
    ),
    "b-round-case-numbers": Drawing(
        """
B Crown and Bridge Works
Invoice # | B-1023
Date | 04/13/2026
Account | 20417
Case | Tooth | Description | Qty | Unit price | Amount
30 | 14 | FCZ crown | 1 | 145.00 | 145.00
60 | 15 | FCZ crown | 1 | 145.00 | 145.00
90 | 18 | FCZ crown | 1 | 145.00 | 145.00
120 | 19 | FCZ crown | 1 | 145.00 | 145.00
| | | | TOTAL | 580.00
"""
    ),
    "c-dollar": Drawing(
        """
C Lab of the North
Invoice: C-3001 | | Date: 2026-03-06
Account: 20417
Tooth | Description | Qty | Unit price | Amount
16 | Full contour zirconia crown | 1 | $200.00 | $200.00
| Shipping | 1 | $20.00 | $20.00
| | | GST 5 % | $11.00
| | | Total | $231.00
"""
    ),
}

"""Golden invoices in workbooks: merged headings, hidden columns, formulas with values, several documents in one."""

from __future__ import annotations

from drawn_sheets import Drawing

WORKBOOKS: dict[str, Drawing] = {
    "b-banner-merged-head": Drawing(
        """
B Crown and Bridge Works
12 Quay Street
INVOICE
Invoice No: B-1001 | | | Date: 03/04/2026
Account: 20417
Terms: 30 days from statement
Case | Tooth | Description | Qty | Unit | Amount
No | | | | Price |
4471 | #14 | FCZ crown | 1 | 185.00 | 185.00
4471 | | Shipping | 1 | 12.00 | 12.00
4472 | #30 | Layered zirconia crown | 1 | 210.00 | 210.00
| | | | TOTAL | 407.00
""",
        merged=("A1:F1", "A2:F2", "A3:F3", "B7:B8", "C7:C8", "D7:D8", "F7:F8"),
    ),
    "a-case-totals": Drawing(
        """
A Lab of Ceramics
Invoice A-2001 | | Invoice date | 2026-03-05
Clinic: North
Case | Tooth | Item | Amount
C-77 | 16 | Full contour zirconia crown | 185.00
C-77 | | Custom stain | 42.30
Case total | | | 227.30
C-78 | 24 | Lithium disilicate crown | 165.00
Case total | | | 165.00
TOTAL | | | 392.30
"""
    ),
    "a-wrapped-description": Drawing(
        """
A Lab of Ceramics
Invoice | A-2002 | | Date | '17.03.2026
Customer | 20417
Case | Tooth | Description | Qty | Price | Amount
810 | 36 | Full contour zirconia | 1 | 150.00 | 150.00
| | crown | | |
811 | 11 | Lithium disilicate | 1 | 170.00 | 170.00
| | crown | | |
| | | | Net total | 320.00
| | | | VAT 20 % | 64.00
| | | | Total due | 384.00
"""
    ),
    "b-hidden-column": Drawing(
        """
B Crown and Bridge Works
Invoice B-1003 | | | Date: March 18, 2026
Bill to: North
Case | Patient | Tooth | Description | Lab cost | Qty | Unit price | Amount
6001 | SMITH J | #8 | Lithium disilicate crown | 61.00 | 1 | 175.00 | 175.00
6002 | WEBER T | #9 | Lithium disilicate crown | 61.00 | 1 | 175.00 | 175.00
6002 | WEBER T | #9 | Custom stain | 5.00 | 1 | 20.00 | 20.00
TOTAL | | | | | | | 370.00
""",
        hidden=("B", "E"),
    ),
    "b-formula-values": Drawing(
        """
B Crown and Bridge Works
Invoice number | B-1004
Invoice date | 2026-03-20
Account no | 20417
Case | Tooth | Product | Units | Price each | Line total
6101 | #14,15 | FCZ crown | 2 | 145.00 | =D6*E6=290
6102 | #19 | FCZ crown | 1 | 145.00 | =D7*E7=145
| | | | Total | =SUM(F6:F7)=435
""",
        by="xlsxwriter",
    ),
    "a-date-serials": Drawing(
        """
A Lab of Ceramics - invoice list
Invoice | Date | Clinic | Case | Tooth | Item | Qty | Price | Amount
A-2003 | 46085 | North | 901 | 26 | mono ZrO2 | 1 | 139.00 | 139.00
A-2003 | 46085 | North | 901 | | Model | 1 | 8.50 | 8.50
A-2004 | 46090 | South | 902 | 47 | mono ZrO2 | 1 | 139.00 | 139.00
"""
    ),
    "a-credit-note": Drawing(
        """
A Lab of Ceramics
CREDIT NOTE
Credit note no | A-2010
Date | 2026-04-08
Refers to invoice | A-2003
Clinic | North
Case | Tooth | Description | Qty | Price | Amount
901 | 26 | mono ZrO2 | 1 | 139.00 | 139.00
| | | | Total credit | 139.00
"""
    ),
    "a-teeth": Drawing(
        """
A Lab of Ceramics
Invoice no | A-2013
Invoice date | 2026-04-01
Clinic | North
Case | Tooth | Description | Qty | Price | Amount
1501 | 14 | FCZ crown | 1 | 145.00 | 145.00
1502 | '14,15 | FCZ crown | 2 | 145.00 | 290.00
1503 | '13-23 | Zirconia bridge | 6 | 145.00 | 870.00
1504 | UR6 | FCZ crown | 1 | 145.00 | 145.00
1505 | '46/47 | FCZ crown | 2 | 145.00 | 290.00
1506 | 12 | Zirconia bridge, pontic | 1 | 130.00 | 130.00
1507 | | FCZ crown, tooth 36 | 1 | 145.00 | 145.00
| | | | Total | 2015.00
"""
    ),
    "a-implant-parts": Drawing(
        """
A Lab of Ceramics
Invoice no | A-2014
Invoice date | 2026-04-02
Clinic | South
Case | Tooth | Description | Qty | Price | Amount
1601 | 36 | FCZ crown on implant | 1 | 165.00 | 165.00
1601 | 36 | Implant abutment | 1 | 120.00 | 120.00
1601 | 36 | Abutment screw | 1 | 22.00 | 22.00
1601 | 36 | Analog | 1 | 18.00 | 18.00
| | | | Total | 325.00
"""
    ),
    "a-net-and-gross": Drawing(
        """
A Lab of Ceramics
Invoice no | A-2015
Invoice date | 2026-04-03
Clinic | North
Tooth | Description | Qty | Unit price | Net | VAT | Gross
16 | Full contour zirconia crown | 1 | 150.00 | 150.00 | 30.00 | 180.00
17 | Full contour zirconia crown | 1 | 150.00 | 150.00 | 30.00 | 180.00
| Total | | | 300.00 | 60.00 | 360.00
"""
    ),
    "b-spreadsheet-damage": Drawing(
        """
B Crown and Bridge Works
Invoice # | B-1030
Date | '04/13/2026
Account | 20417
Case | Teeth | Description | Qty | Unit price | Amount
123000000000 | 2026-03-05 | Zirconia bridge | 3 | 145.00 | 435.00
123000000001 | 19 | FCZ crown | 1 | 145.00 | 145.00
| | | | TOTAL | 580.00
"""
    ),
    "b-multi-invoice": Drawing(
        """
B Crown and Bridge Works
Invoice # | B-1031 | | Date | 2026-04-14 | Account | 20417
Case | Tooth | Description | Qty | Unit price | Amount
8501 | 2 | FCZ crown | 1 | 145.00 | 145.00
| | | | Total | 145.00
.
B Crown and Bridge Works
Invoice # | B-1032 | | Date | 2026-04-15 | Account | 20418
Case | Tooth | Description | Qty | Unit price | Amount
8502 | 3 | FCZ crown | 1 | 145.00 | 145.00
8502 | | Shipping | 1 | 12.00 | 12.00
| | | | Total | 157.00
.
B Crown and Bridge Works
Invoice # | B-1033 | | Date | 2026-04-16 | Account | 20417
Case | Tooth | Description | Qty | Unit price | Amount
8503 | 4 | PFM noble | 1 | 160.00 | 160.00
| | | | Total | 160.00
"""
    ),
    "b-two-sheets": Drawing(
        """
--- B-1034
B Crown and Bridge Works
Invoice # | B-1034
Date | 2026-04-17
Account | 20417
Tooth | Description | Qty | Unit price | Amount
5 | FCZ crown | 1 | 145.00 | 145.00
| TOTAL | | | 145.00
--- B-1035
B Crown and Bridge Works
Invoice # | B-1035
Date | 2026-04-20
Account | 20418
Tooth | Description | Qty | Unit price | Amount
12 | FCZ crown | 1 | 145.00 | 145.00
| TOTAL | | | 145.00
"""
    ),
    "b-case-blocks": Drawing(
        """
B Crown and Bridge Works
Invoice # | B-1036
Date | 2026-04-21
Account | 20417
Case | Tooth | Description | Qty | Unit price | Amount
9001 | 30 | PFM noble | 1 | 160.00 | 160.00
| | ceramic palladium alloy 1.5 dwt @ 45.00/dwt | | | 67.50
| | Porcelain butt margin | 1 | 15.00 | 15.00
.
9002 | 19 | FCZ crown | 1 | 145.00 | 145.00
| | | | TOTAL | 387.50
"""
    ),
    "b-notes-between": Drawing(
        """
B Crown and Bridge Works
Invoice # | B-1037
Date | 2026-04-22
Account | 20417
Case | Tooth | Description | Qty | Unit price | Amount
9101 | 8 | Lithium disilicate crown | 1 | 175.00 | 175.00
Please return the shade tab with the next case
9101 | | Shade as per photo | 1 | 0.00 | 0.00
9102 | 9 | Lithium disilicate crown | 1 | 175.00 | 175.00
| | | | TOTAL | 350.00
Thank you for your business
"""
    ),
    "b-blank-amount": Drawing(
        """
B Crown and Bridge Works
Invoice # | B-1038
Date | 2026-04-23
Account | 20417
Case | Tooth | Description | Qty | Unit price | Amount
9201 | 14 | FCZ crown | 1 | 145.00 | 145.00
9201 | 14 | Custom stain | 1 | | N/C
9201 | 14 | Model | 1 | | incl.
9201 | | Shipping | 1 | | —
9202 | 15 | FCZ crown | 1 | |
| | | | TOTAL | 145.00
"""
    ),
    "b-alloy-bridge": Drawing(
        """
B Crown and Bridge Works
Invoice # | B-1039
Date | 2026-04-24
Account | 20418
Case | Teeth | Description | Qty | Unit price | Amount | Weight | Weight unit
9301 | '3-5 | PFM high noble bridge | 3 | 155.00 | 465.00 | |
9301 | '3-5 | ceramic gold alloy | | 90.00 | 378.00 | 4.2 | g
| | | | TOTAL | 843.00 | |
"""
    ),
    "b-copy": Drawing(
        """
B Crown and Bridge Works
COPY
Invoice # | B-1016
Date | 2026-04-03
Account | 20417
Case | Tooth | Description | Qty | Unit price | Amount
8301 | 12 | FCZ crown | 1 | 145.00 | 145.00
8302 | 13 | FCZ crown | 1 | 145.00 | 145.00
| | TOTAL | | | 290.00
"""
    ),
    "b-statement-relists": Drawing(
        """
B Crown and Bridge Works
STATEMENT OF ACCOUNT
Statement date | 2026-04-30
Account | 20418
Invoice | Date | Case | Tooth | Description | Qty | Unit price | Amount
B-1032 | 2026-04-15 | 8502 | 3 | FCZ crown | 1 | 145.00 | 145.00
B-1032 | 2026-04-15 | 8502 | | Shipping | 1 | 12.00 | 12.00
B-1035 | 2026-04-20 | | 12 | FCZ crown | 1 | 145.00 | 145.00
| | | | Previous balance | | | 0.00
| | | | Amount due | | | 302.00
"""
    ),
    "b-rush-freight": Drawing(
        """
B Crown and Bridge Works
Invoice # | B-1040
Date | 2026-04-27
Account | 20417
Case | Tooth | Description | Qty | Unit price | Amount
9401 | 14 | FCZ crown | 1 | 145.00 | 145.00
9401 | | Rush fee | 1 | 36.25 | 36.25
9401 | | Inbound shipping | 1 | 12.00 | 12.00
9401 | | Outbound shipping | 1 | 15.00 | 15.00
9401 | | Volume discount | 1 | -10.00 | -10.00
| | | | TOTAL | 198.25
"""
    ),
    "b-remake": Drawing(
        """
B Crown and Bridge Works
Invoice # | B-1041
Date | 2026-04-28
Account | 20417
Case | Tooth | Description | Qty | Unit price | Amount
9501 | 14 | Remake FCZ crown | 1 | 92.50 | 92.50
9502 | 19 | Remake FCZ crown | 1 | | N/C
9503 | 30 | FCZ crown | 1 | 185.00 | 185.00
9504 | 31 | Credit for remake FCZ crown | 1 | -185.00 | -185.00
| | | | TOTAL | 92.50
"""
    ),
    "b-currency-format": Drawing(
        """
B Crown and Bridge Works
Invoice # | B-1042
Date | 2026-04-29
Account | 20417
Tooth | Description | Qty | Unit price | Amount
3 | FCZ crown | 1 | 1145.00 | 1145.00
| Shipping | 1 | 12.00 | 12.00
| TOTAL | | | 1157.00
""",
        formats={"D": '"$"#,##0.00', "E": '"$"#,##0.00'},
    ),
    "b-money-as-text": Drawing(
        """
B Crown and Bridge Works
Invoice # | B-1043
Date | 2026-04-30
Account | 20417
Tooth | Description | Qty | Unit price | Amount
3 | FCZ crown | 1 | '$185 | '$185
4 | FCZ crown | 1 | '185 USD | '185 USD
5 | FCZ crown | 1 | 'US$ 185.00 | '$ 185.00
| TOTAL | | | '$555.00
"""
    ),
    "b-ageing": Drawing(
        """
B Crown and Bridge Works
Invoice # | B-1044
Date | 2026-05-04
Account | 20417
Tooth | Description | Qty | Unit price | Amount
3 | FCZ crown | 1 | 145.00 | 145.00
| TOTAL | | | 145.00
.
Current | 30 days | 60 days | 90 days | Total
145.00 | 200.00 | 0.00 | 50.00 | 395.00
"""
    ),
    "c-format": Drawing(
        """
C Lab of the North
Invoice: C-3002 | | Date: 2026-03-10
Account: 20418
Tooth | Description | Qty | Unit price | Amount (CAD)
46 | Full contour zirconia crown | 1 | 200.00 | 200.00
| Shipping | 1 | 20.00 | 20.00
| Total CAD | | | 220.00
""",
        formats={"D": '"$"#,##0.00', "E": '"$"#,##0.00'},
    ),
}

OLD_AND_OPEN: dict[str, Drawing] = {
    "a-old.xls": Drawing(
        """
A Lab of Ceramics
Invoice no | A-2016
Invoice date | 2026-05-05
Clinic | North
Case | Tooth | Description | Qty | Price | Amount
1701 | 16 | PFM precious | 1 | 130.00 | 130.00
1701 | 16 | ceramic gold alloy 2.5 g @ 90.00/g | | | 225.00
| | | | Total | 355.00
"""
    ),
    "b-old.xls": Drawing(
        """
B Crown and Bridge Works
Invoice # | B-1045
Date | 2026-05-06
Account | 20418
Case | Tooth | Description | Qty | Unit price | Amount
9601 | 14 | FCZ crown | 1 | 145.00 | 145.00
9601 | | Shipping | 1 | 12.00 | 12.00
| | | | TOTAL | 157.00
""",
        merged=("A1:F1",),
    ),
    "a-open.ods": Drawing(
        """
A Lab of Ceramics
Invoice no | A-2017
Invoice date | 2026-05-07
Clinic | South
Case | Tooth | Description | Qty | Price | Amount
1801 | 24 | Lithium disilicate crown | 1 | 170.00 | 170.00
Case total | | | | | 170.00
1802 | 25 | Lithium disilicate crown | 1 | 170.00 | 170.00
Case total | | | | | 170.00
TOTAL | | | | | 340.00
"""
    ),
    "b-open.ods": Drawing(
        """
B Crown and Bridge Works
Invoice # | B-1046
Date | 2026-05-08
Account | 20417
Case | Tooth | Description | Qty | Unit price | Amount
9701 | #30 | Full cast crown high noble | 1 | 120.00 | 120.00
9701 | #30 | yellow casting alloy 2 dwt @ 150.00/dwt | | | 300.00
| | | | TOTAL | 420.00
"""
    ),
}
"""Files that only another program can write: LibreOffice made them once, from these drawings."""

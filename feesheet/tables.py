"""Every input table, declared once. Read this file first: it says all that goes in, in plain words.

Tables may stand in any workbook of the practice folder; `workbook` names the template they come in.
"""

from __future__ import annotations

from feesheet import reference
from feesheet.schema import Field, Table

# fmt: off
# A declaration is read like a table: one field a line or two, not one word a line.

PRACTICE = Table(
    "practice",
    "Practice",
    "Settings that hold for the whole practice. One row each.",
    (
        Field("practice_name", "Practice name", "text", "As it should stand on the fee schedule.", "Example practice"),
        Field("currency", "Currency", "choice", "Three letters (ISO 4217). All amounts are in it.", "EUR",
              choices=tuple(reference.minor_digits())),
        Field("pricing_date", "Pricing date", "date", "Invoices and metal prices up to this day count.", "2026-10-31"),
        Field("effective_date", "Effective date", "date", "The first day of the new fees.", "2027-01-01"),
        Field("fees_set_on", "Current fees set on", "date", "The day the current fees were worked out; blank if not known.",
              "2025-01-01", required=False),
        Field("invoice_months", "Invoice months", "whole", "How many months of invoices before the pricing date count.",
              12, unit="months", low=1, high=60),
        Field("credibility_units", "Credibility constant", "number",
              "Units at which your own mean and the starting value weigh the same.", 5,
              unit="units", required=False, default=5.0, low=0, high=1000),
        Field("target_margin", "Target margin", "fraction", "Share of the money received that should be left after all costs.",
              0.2, unit="fraction", low=-1, high=0.95),
        Field("margin_basis", "Margin basis", "choice", "Whether plans count when the needed fee is worked out.",
              "with plans", required=False, default="with plans", choices=("with plans", "full fee")),
        Field("collected", "Collected share", "fraction",
              "Money collected as a share of adjusted production (after contract write-offs).", 0.98, unit="fraction",
              low=0.01, high=1),
        Field("card_cost", "Card cost", "fraction", "Share of the money collected that card companies keep.", 0.012,
              unit="fraction", required=False, default=0.0, low=0, high=0.2),
        Field("default_alloy_premium", "Default alloy premium", "fraction",
              "What a lab adds to the metal's value, until three alloy lines of your own tell.", 0.25, unit="fraction",
              required=False, default=0.0, low=-0.5, high=3),
        Field("base_site", "Base site", "text", "The site whose overhead stands in for sites without a ledger.", "North",
              required=False),
    ),
    required=True,
    vertical=True,
    also=("practice settings", "settings"),
    workbook="practice",
)

SITES = Table(
    "sites",
    "Sites",
    "One row per clinic.",
    (
        Field("site", "Site", "text", "The clinic's short name, used on every other sheet.", "North", also=("clinic",)),
        Field("region", "Region", "text", "The region the site belongs to.", "Coast"),
        Field("operatories", "Operatories", "number", "Treatment rooms with a chair.", 4, unit="chairs", low=0, high=500,
              also=("chairs",)),
        Field("weeks", "Weeks a year", "number", "Weeks in which patients are seen.", 46, unit="weeks", low=0, high=53,
              also=("weeks",)),
        Field("hours_per_week", "Hours a week", "number", "Opening hours in such a week.", 38, unit="hours", low=0, high=168,
              also=("hours", "hours per week")),
        Field("practical_capacity", "Practical capacity", "fraction", "Share of those hours in which a chair can really be used.",
              0.8, unit="fraction", low=0, high=1, also=("capacity",)),
        Field("other_chair_hours", "Chair hours of other work", "number",
              "Hours a year in which chairs are taken by work that is not on this fee schedule; a review sets them apart from idle ones.",
              "", unit="hours a year", required=False, low=0, high=1e6),
    ),
    key=("site",),
    required=True,
    workbook="practice",
)

OVERHEAD = Table(
    "overhead",
    "Overhead ledger",
    "One row per account and site, for a year. Say which accounts are already costed per crown, so that nothing counts twice.",
    (
        Field("site", "Site", "text", "The clinic.", "North", also=("clinic",)),
        Field("account", "Account", "text", "What the money went on.", "Rent", also=("ledger account", "overhead account")),
        Field("amount", "Yearly amount", "money", "Cost in a year.", 96000, unit="money a year", low=-1e9, high=1e9,
              also=("amount a year", "yearly cost of account")),
        Field("costed_per_item", "Costed per item", "yes_no",
              "Yes for lab, supplies and pay that chair time and invoices already bring in.", "no"),
    ),
    key=("site", "account"),
    many=True,
    also=("overhead", "ledger"),
    workbook="practice",
)

REGION_INDEX = Table(
    "region_index",
    "Region index",
    "Price levels of the regions, needed only if a site has no ledger of its own. All of one and the same year.",
    (
        Field("region", "Region", "text", "The region.", "Coast"),
        Field("index", "Price index", "number", "The region's published price level.", 104.2, low=1, high=1000,
              also=("index",)),
        Field("year", "Index year", "whole", "The year the index is of.", 2025, low=1950, high=2100, also=("year",)),
    ),
    key=("region",),
    workbook="practice",
)

STAFF = Table(
    "staff",
    "Staff roles",
    "One row per role, and per site where the pay differs. The dentist is a role like any other.",
    (
        Field("role", "Role", "text", "The role's name, used in the chair-time sheet.", "assistant"),
        Field("site", "Site", "text", "The clinic; blank for all.", "", required=False, default="", also=("clinic",)),
        Field("yearly_cost", "Yearly cost", "money", "Pay, contributions and benefits of one person in a year.", 48000,
              unit="money a year", low=0, high=1e8),
        Field("productive_hours", "Productive hours", "number", "Hours in a year in which that person works on patients.", 1500,
              unit="hours a year", low=0, high=4000),
        Field("dentist", "Dentist", "yes_no", "Yes for a dentist's pay: margins are shown before and after it.", "no"),
    ),
    key=("role", "site"),
    required=True,
    also=("staff", "roles"),
    workbook="practice",
)

CHAIR_TIME = Table(
    "chair_time",
    "Chair time",
    "One row per step. Steps typed for a code are used alone; else those of the material and tooth region; else the material's.",
    (
        Field("code", "Code", "code", "A fee code, if the step is for that code alone.", "", required=False, default=""),
        Field("material", "Material", "text", "The material, if the step is for all its crowns.", "zirconia, monolithic",
              required=False, default=""),
        Field("tooth_region", "Tooth region", "choice", "The region, if the step is for that region alone.", "molar",
              required=False, default="", choices=tuple(reference.tooth_regions())),
        Field("visit", "Visit", "text", "The appointment.", "preparation", required=False, default=""),
        Field("step", "Step", "text", "What is done.", "preparation and scan"),
        Field("roles", "Roles", "text", "Who takes part, with a + between them.", "dentist + assistant"),
        Field("low_min", "Low", "minutes", "The quickest you would expect.", 40, unit="min", required=False, low=0, high=1440,
              also=("low minutes",)),
        Field("likely_min", "Likely", "minutes", "The usual time. Alone, it stands for all three.", 55, unit="min",
              required=False, low=0, high=1440, also=("likely minutes", "minutes")),
        Field("high_min", "High", "minutes", "The longest you would expect.", 80, unit="min", required=False, low=0, high=1440,
              also=("high minutes",)),
        Field("chair", "Chair occupied", "yes_no", "Whether the patient's chair is taken during the step.", "yes",
              also=("chair",)),
        Field("repeated", "Repeated on a remake", "yes_no", "Whether a remake needs the step again.", "yes",
              also=("repeated", "repeat")),
    ),
    many=True,
    required=True,
    workbook="chair time",
)

MATERIALS = Table(
    "materials",
    "Materials",
    "One row per crown material, in the order you want to see them.",
    (
        Field("material", "Material", "text", "The material's name, used on every other sheet.", "cast gold, high noble"),
        Field("alloy", "Alloy", "text", "The alloy it is cast from; blank if none.", "yellow casting alloy", required=False,
              default=""),
        Field("supplies", "Supplies", "money", "Supplies used at the chair for one unit.", 24, unit="money a unit", low=0,
              high=100000),
        Field("remake_rate", "Starting remake rate", "fraction", "Share of makes rejected, until your own count tells.", 0.04,
              unit="fraction", low=0, high=0.99, also=("remake rate",)),
        Field("lab_share_on_remake", "Lab share on a remake", "fraction", "Share of its fee that the lab charges again.", 0.5,
              unit="fraction", low=0, high=1),
        Field("alloy_share_on_remake", "Alloy share not credited", "fraction",
              "Share of the alloy of a rejected crown that is not credited.", 0.1, unit="fraction", low=0, high=1),
        Field("remake_supplies", "Supplies on a remake", "money", "Supplies used again on a remake.", 12, unit="money a unit",
              required=False, default=0.0, low=0, high=100000),
    ),
    key=("material",),
    required=True,
    workbook="materials",
)

STARTING_GRAMS = Table(
    "starting_grams",
    "Starting grams",
    "Grams of alloy in one unit, by your own estimate, until the weights on invoices tell.",
    (
        Field("material", "Material", "text", "The material.", "cast gold, high noble"),
        Field("tooth_region", "Tooth region", "choice", "The region.", "molar", choices=tuple(reference.tooth_regions())),
        Field("starting_g", "Starting grams", "grams", "Grams billed for one unit.", 2.9, unit="g a unit", low=0, high=50,
              also=("grams",)),
    ),
    key=("material", "tooth_region"),
    also=("starting weights",),
    workbook="materials",
)

ALLOYS = Table(
    "alloys",
    "Alloys",
    "One row per alloy: its metals as fractions of its mass, adding up to 1, from the maker's data sheet.",
    (
        Field("alloy", "Alloy", "text", "The alloy's name, as on the materials sheet.", "yellow casting alloy"),
        Field("class_billed", "Class as billed", "choice", "The class that the lab's invoice names; blank if it names none.",
              "high noble", required=False, default="",
              choices=("high noble", "titanium", "noble", "predominantly base")),
        Field("density", "Density", "number", "From the data sheet.", 15.5, unit="g/cm³", required=False, low=0.5, high=25),
        *(
            Field(metal.name, metal.name.capitalize(), "fraction", f"Mass fraction of {metal.name}; blank if none.",
                  {"gold": 0.77, "silver": 0.13, "palladium": 0.01, "other": 0.09}.get(metal.name, ""),
                  unit="fraction", required=False, default=0.0, low=0, high=1, also=(metal.symbol,) if metal.symbol else ())
            for metal in reference.metals().values()
        ),
    ),
    key=("alloy",),
    workbook="materials",
)

METAL_PRICES = Table(
    "metal_prices",
    "Metal prices",
    "One row per quote. The latest on or before a day is that day's price.",
    (
        Field("date", "Date", "date", "The day of the quote.", "2026-10-30"),
        Field("metal", "Metal", "choice", "The metal.", "gold",
              choices=tuple(name for name in reference.metals() if name != "other")),
        Field("price", "Price", "money", "The price of one unit.", 4012.5, unit="money a unit", low=0.000001, high=1e9,
              also=("metal price", "quote")),
        Field("unit", "Unit", "text", 'Troy ounce, pennyweight, gram, kilogram, or a number of grams such as "30 g".',
              "troy ounce", also=("quoted unit", "price unit")),
        Field("currency", "Currency", "text", "Three letters; must be the practice's own.", "EUR", required=False, default=""),
        Field("confirmed", "Confirmed", "yes_no", "Yes if a jump of more than 10 % from the quote before is right.", "no",
              required=False, default="no"),
    ),
    key=("date", "metal"),
    many=True,
    workbook="metal prices",
)

LABS = Table(
    "labs",
    "Labs",
    "One row per laboratory.",
    (
        Field("lab", "Lab", "text", "The lab's short name, as on the invoice lines.", "lab A", also=("laboratory",)),
        Field("alloy_billing", "Alloy billing", "choice", "Whether alloy has lines of its own or is inside one price.", "apart",
              choices=("apart", "all-in")),
        Field("tax_recoverable", "Tax recoverable", "fraction", "Share of its tax that you get back; your accountant knows.", 0,
              unit="fraction", low=0, high=1),
        Field("tooth_notation", "Tooth notation", "choice", "How the lab numbers teeth; blank if its invoices may tell.", "ISO",
              required=False, default="", choices=("ISO", "universal")),
        Field("name_on_invoices", "Name on invoices", "text", "What the lab's own paper calls it; several with a ; between.",
              "", required=False, default="", also=("letterhead",)),
        Field("date_order", "Date order", "choice", "How the lab writes 03/04; blank if its invoices may tell.", "",
              required=False, default="", choices=("day first", "month first")),
        Field("alloy_weight_unit", "Alloy weight unit", "text",
              "Gram, pennyweight or troy ounce, if the lab's invoices name none.", "", required=False, default=""),
        Field("lab_currency", "Lab's currency", "text", "Three letters, if it is not the practice's own.", "",
              required=False, default=""),
        Field("agreed_premium", "Agreed alloy premium", "fraction",
              "What the lab may add to the metal's value, if you agreed on it; a review holds its alloy lines against it.", "",
              unit="fraction", required=False, low=-0.5, high=3),
        Field("dispute_days", "Days to dispute", "whole", "Days within which the lab hears of an error; blank if not agreed.",
              "", unit="days", required=False, low=0, high=3650),
    ),
    key=("lab",),
    also=("laboratories",),
    workbook="labs",
)

LAB_ACCOUNTS = Table(
    "lab_accounts",
    "Lab accounts",
    "What the labs' invoices call your clinics, where it is not the site's own name.",
    (
        Field("account", "Account or name", "text", "The account number or clinic name as the invoices write it.", "20417",
              also=("account", "account no", "name of clinic")),
        Field("site", "Site", "text", "The clinic that is meant.", "North", also=("clinic",)),
        Field("lab", "Lab", "text", "The lab, if only that lab means it so; blank for all.", "", required=False, default="",
              also=("laboratory",)),
    ),
    key=("account", "lab"),
    many=True,
    also=("accounts",),
    workbook="labs",
)

EXCHANGE_RATES = Table(
    "exchange_rates",
    "Exchange rates",
    "For labs that bill in another currency. The latest on or before an invoice's date is used, and shown.",
    (
        Field("rate_date", "Rate date", "date", "The day of the rate.", "2026-03-01"),
        Field("foreign", "Currency billed", "text", "Three letters.", "CAD"),
        Field("rate", "Rate", "number", "What one unit of it costs in the practice's currency.", 0.68, low=0.000001, high=1e6,
              also=("exchange rate",)),
    ),
    key=("rate_date", "foreign"),
    many=True,
    workbook="labs",
)

LAB_PRICES = Table(
    "lab_prices",
    "Lab prices",
    "The labs' quoted prices. The first row of a material is used where a site has no units yet.",
    (
        Field("lab", "Lab", "text", "The lab.", "lab A", also=("laboratory",)),
        Field("material", "Material", "text", "The material.", "zirconia, monolithic"),
        Field("quoted_price", "Quoted price", "money", "Price of one unit on the lab's list.", 142, unit="money a unit", low=0,
              high=1e6, also=("list price",)),
    ),
    key=("lab", "material"),
    many=True,
    also=("price list", "lab price list"),
    workbook="labs",
)

MILLING = Table(
    "milling",
    "In-house milling",
    "Your own mill acts as a lab: one row per material it makes.",
    (
        Field("lab", "Lab", "text", "A name for the mill, used on the invoice lines if you log its units there.", "own mill",
              also=("mill",)),
        Field("material", "Material", "text", "The material it makes.", "zirconia, monolithic"),
        Field("site", "Site", "text", "Where it stands.", "North", also=("clinic",)),
        Field("machine_cost_month", "Machine cost a month", "money", "Instalment, service and software.", 1900,
              unit="money a month", low=0, high=1e6),
        Field("units_month", "Units a month", "number", "Units milled in a month, all materials.", 40, unit="units", low=0,
              high=100000),
        Field("block", "Block", "money", "Block or disc share for one unit.", 24, unit="money a unit", low=0, high=100000),
        Field("burs", "Burs", "money", "Burs and tools for one unit.", 3, unit="money a unit", low=0, high=100000),
        Field("role", "Role", "text", "Who designs and finishes it.", "assistant"),
        Field("staff_min", "Staff minutes", "minutes", "That person's minutes for one unit.", 20, unit="min", low=0, high=1440),
    ),
    key=("lab", "material"),
    also=("milling",),
    workbook="labs",
)

INVOICE_LINES = Table(
    "invoice_lines",
    "Invoice lines",
    "One row per line of a lab invoice. Columns not named here, patient names among them, are never read.",
    (
        Field("date", "Date", "date", "The invoice date.", "2026-03-04", also=("invoice date",)),
        Field("invoice", "Invoice", "code", "The invoice number.", "A-1042", also=("invoice no", "invoice number")),
        Field("lab", "Lab", "text", "The lab.", "lab A", also=("laboratory",)),
        Field("site", "Site", "text", "The clinic the line is for.", "North", also=("clinic",)),
        Field("teeth", "Teeth", "teeth", "One tooth or several, in the lab's notation; blank for a charge on the whole invoice.",
              "16", required=False, default="", also=("tooth", "tooth no", "tooth number")),
        Field("product", "Product", "text", "The lab's wording.", "Full contour zirconia crown",
              also=("description", "product wording", "item")),
        Field("kind", "Line kind", "choice", "What sort of charge it is.", "unit fee", also=("kind", "type of line"),
              choices=tuple(reference.line_kinds())),
        Field("units", "Units", "number", "Crowns, retainers and pontics on the line.", 1, unit="units", required=False, low=-100,
              high=1000, also=("qty", "quantity")),
        Field("amount", "Amount", "money", "What was charged, without tax that stands on its own line; credits are negative.",
              142, unit="money", low=-1e8, high=1e8, also=("net amount", "line amount")),
        Field("alloy", "Alloy", "text", "The alloy of an alloy line.", "", required=False, default=""),
        Field("weight", "Weight", "number", "The weight billed.", "", required=False, low=-1000, high=10000,
              also=("alloy weight",)),
        Field("weight_unit", "Weight unit", "text", "Gram, pennyweight or troy ounce.", "", required=False, default="",
              also=("unit of weight", "unit")),
        Field("currency", "Currency", "text",
              "Three letters, if the lab names one; another than the practice's own needs an exchange rate.", "",
              required=False, default=""),
        Field("case", "Case", "code", "The lab's case number; only a hash of it is kept.", "", required=False, default="",
              also=("case no", "case number", "job no")),
        Field("unit_price", "Unit price", "money", "The price of one unit, or of one gram or other weight.", "", required=False,
              low=-1e6, high=1e6, also=("price each", "price per unit")),
        Field("role", "Tooth role", "choice", "How the teeth are used; blank if the product says it.", "", required=False,
              default="", choices=("single", "bridge", "retainer", "pontic", "implant"), also=("role of tooth",)),
        Field("alloy_class", "Class billed", "choice", "The alloy class that the line names.", "", required=False, default="",
              choices=("high noble", "titanium", "noble", "predominantly base"), also=("alloy class",)),
        Field("weight_basis", "Weight basis", "choice", "Whether the weight is what was billed, delivered or estimated.", "",
              required=False, default="", choices=("billed", "delivered", "estimated")),
        Field("remake_cause", "Cause of the remake", "choice", "On whose side the cause of a remake lay, if it was settled.", "",
              required=False, default="", choices=("lab", "practice", "not settled"), also=("cause",)),
    ),
    many=True,
    also=("lab invoice lines", "lines", "invoices"),
    workbook="invoice lines",
)

PRODUCT_MAP = Table(
    "product_map",
    "Product names",
    "What each lab wording means. Confirmed once, kept for ever; `feesheet map` lists those not yet known.",
    (
        Field("wording", "Wording", "text", "The lab's words for the product.", "FCZ crown", also=("lab wording", "product name")),
        Field("material", "Material", "text", 'The material; "not a crown" for a product that is none.', "zirconia, monolithic"),
        Field("lab", "Lab", "text", "The lab, if only that lab means it so; blank for all.", "", required=False, default="",
              also=("laboratory",)),
        Field("kind", "Line kind", "choice", "What sort of charge it is, if its words don't say it.", "", required=False,
              default="", choices=tuple(reference.line_kinds()), also=("kind",)),
        Field("confirmed", "Confirmed", "yes_no", "No for a guess that nobody has looked at: it is not used. Blank means yes.",
              "yes", required=False, default="yes"),
    ),
    key=("wording", "lab"),
    many=True,
    also=("product map", "product name map"),
    workbook="labs",
)

FEES = Table(
    "fees",
    "Current fees",
    "Your fee schedule as it is. One row per code, or per code and site where fees differ.",
    (
        Field("code", "Code", "code", "Your own code.", "C-0451"),
        Field("description", "Description", "text", "What it is called on the schedule.", "Crown, zirconia, molar"),
        Field("material", "Material", "text", "The material; blank for a procedure without a lab.", "zirconia, monolithic",
              required=False, default=""),
        Field("tooth_region", "Tooth region", "choice", "The region; blank or all if the fee is the same for every tooth.", "molar",
              required=False, default="all", choices=tuple(reference.tooth_regions())),
        Field("site", "Site", "text", "A site, a region of sites, or all.", "all", required=False, default="all",
              also=("site or region", "clinic")),
        Field("current_fee", "Current fee", "money", "The fee now in force.", 1240, unit="money", required=False, low=0, high=1e7,
              also=("fee",)),
        Field("units_last_year", "Units last year", "number", "How many were done last year, all the row's sites together.", 60,
              unit="units", required=False, default=0.0, low=0, high=1e7, also=("units",)),
        Field("target_margin", "Target margin", "fraction", "If it differs from the practice's.", "", required=False,
              unit="fraction", low=-1, high=0.95),
        Field("hold", "Hold", "yes_no", "Yes to keep the fee as it is.", "no", required=False, default="no"),
    ),
    key=("code", "site"),
    required=True,
    also=("current fee schedule",),
    workbook="fees and plans",
)

PLANS = Table(
    "plans",
    "Plans",
    "Payers with allowed amounts of their own. What no plan takes is full fee.",
    (
        Field("plan", "Plan", "text", "The plan's short name.", "plan one"),
        Field("plan_share", "Share of patients", "fraction", "Share of the practice's crowns on this plan.", 0.35, unit="fraction",
              low=0, high=1, also=("share",)),
    ),
    key=("plan",),
    workbook="fees and plans",
)

PLAN_FEES = Table(
    "plan_fees",
    "Allowed amounts",
    "What each plan allows. The latest date on or before the effective date counts; no row means full fee.",
    (
        Field("plan", "Plan", "text", "The plan.", "plan one"),
        Field("code", "Code", "code", "Your code.", "C-0451"),
        Field("allowed", "Allowed amount", "money", "The most the plan lets you keep.", 980, unit="money", low=0, high=1e7,
              also=("allowed",)),
        Field("allowed_from", "Allowed from", "date", "The first day of that amount; blank if it has always held.", "2026-01-01",
              required=False, also=("effective date",)),
    ),
    key=("plan", "code", "allowed_from"),
    many=True,
    also=("plan fees",),
    workbook="fees and plans",
)

RULES = Table(
    "rules",
    "Rules",
    "How a needed fee becomes a fee. They act in this order; each says so in the schedule.",
    (
        Field("order", "Order", "whole", "The first rule has the lowest number.", 10, low=0, high=100000),
        Field("rule", "Rule", "text", "hold, floor, largest rise, largest fall, ladder, rounding, or one of your own.",
              "largest rise"),
        Field("value", "Value", "number", "A fraction for a rise or fall; the step in money for rounding.", 0.08, required=False,
              low=0, high=1e6),
        Field("way", "Way", "choice", "For rounding: to the nearest step, or up.", "", required=False, default="",
              choices=("nearest", "up")),
        Field("applies_to", "Applies to", "text", "A material or code, if not all; needed by a ladder.", "", required=False,
              default=""),
        Field("not_under", "Not under", "text", "For a ladder: the material or code whose fee is the lower rung.", "",
              required=False, default=""),
    ),
    key=("order",),
    also=("pricing rules", "fee rules"),
    workbook="fees and plans",
)

SCENARIOS = Table(
    "scenarios",
    "Scenarios",
    "What if: one row per changed value. Rows with one title are looked at together; the fees in force stay as they are.",
    (
        Field("scenario", "Scenario", "text", "The scenario's title, the same on each of its rows.", "gold up 40 %"),
        Field("what", "What", "text",
              "A metal, or lab fees, minutes, pay, overhead, supplies, remake rate, plan share, target margin, collected share, "
              "card cost or alloy.", "gold"),
        Field("of_whom", "Of", "text", "The material, role, site or plan that it is for; blank for all.", "", required=False,
              default=""),
        Field("new_value", "New value", "number",
              "What it would be. A metal's price is for the unit of its latest quote; a rate or share is a fraction.", "",
              required=False),
        Field("change_share", "Change by", "fraction", "The change as a share: 0.40 for 40 % more, -0.30 for 30 % less.", 0.4,
              unit="fraction", required=False, low=-0.99, high=10),
        Field("new_alloy", "New alloy", "text", "The alloy that the material would be cast from.", "", required=False,
              default=""),
        Field("reason", "Reason", "text", "Why you ask.", "gold rose all spring", required=False, default=""),
        Field("taken_from", "Source", "text", "Where the figure is from.", "a bank's forecast", required=False, default=""),
        Field("date", "Date", "date", "The day of the figure.", "2026-10-30", required=False),
    ),
    many=True,
    workbook="scenarios",
)

SEATED = Table(
    "seated",
    "Work seated",
    "What was fitted and what it brought: one row per work, or per month, code, site, plan and dentist. A review then knows what "
    "really came in; without it, units are those of the labs' invoices and money is what fees and plans promise.",
    (
        Field("seated_on", "Seated on", "date", "The day it was fitted; the month's last day for a month's total.", "2026-03-20",
              also=("date of service", "fitted on")),
        Field("code", "Code", "code", "Your own code.", "C-0451"),
        Field("site", "Site", "text", "The clinic.", "North", also=("clinic",)),
        Field("plan", "Plan", "text", "The plan; blank for a patient who pays the full fee.", "", required=False, default=""),
        Field("dentist", "Dentist", "text", "A short name for the dentist, if margins by dentist are wanted.", "", required=False,
              default=""),
        Field("units", "Units", "number", "Crowns, retainers and pontics.", 1, unit="units", low=-100, high=100000),
        Field("billed", "Billed", "money", "What was billed at the full fee, before write-offs.", 1240, unit="money", required=False,
              low=-1e8, high=1e8),
        Field("received", "Received", "money", "What came in for it, after write-offs and refunds; blank if not known yet.", 1190,
              unit="money", required=False, low=-1e8, high=1e8),
        Field("received_on", "Received on", "date", "The day the money came in; blank while it has not.", "2026-04-10",
              required=False),
        Field("case", "Case", "code", "The lab's case number, to find its invoice; only a hash of it is kept.", "", required=False,
              default="", also=("case no", "case number")),
    ),
    many=True,
    also=("seated", "work done"),
    workbook="work seated",
)

COLLECTIONS = Table(
    "collections",
    "Collections",
    "Money that came in for all dentistry, crowns or not: one row per month and site. A review shows lab cost as a share of it.",
    (
        Field("month_end", "Month", "date", "Any day of the month; the last one is usual.", "2026-03-31", also=("month",)),
        Field("site", "Site", "text", "The clinic.", "North", also=("clinic",)),
        Field("collected_money", "Collections", "money", "All that patients and payers paid in that month.", 84000, unit="money",
              low=-1e9, high=1e10, also=("money collected",)),
    ),
    key=("month_end", "site"),
    many=True,
    workbook="work seated",
)

# fmt: on

TABLES: dict[str, Table] = {
    table.name: table
    for table in (
        PRACTICE,
        SITES,
        OVERHEAD,
        REGION_INDEX,
        STAFF,
        CHAIR_TIME,
        MATERIALS,
        STARTING_GRAMS,
        ALLOYS,
        METAL_PRICES,
        LABS,
        LAB_ACCOUNTS,
        EXCHANGE_RATES,
        LAB_PRICES,
        MILLING,
        INVOICE_LINES,
        PRODUCT_MAP,
        FEES,
        PLANS,
        PLAN_FEES,
        RULES,
        SCENARIOS,
        SEATED,
        COLLECTIONS,
    )
}
"""All input tables by name, in the order a person would fill them in."""

EXPORT_HEADINGS = ("code", "description", "site", "old fee", "new fee", "change", "effective date")
"""Headings of the plain list that an update writes; a file that begins with them is a result, not an input."""

FINDINGS_HEADINGS = (
    *("lab", "invoice", "date", "site", "finding", "its money", "money", "currency", "days left"),
    *("what to ask the lab", "file", "sheet", "cell", "all lines"),
)
"""Headings of the list of findings that a review writes; a file that begins with them is a result too."""

NOT_A_CROWN = "not a crown"
"""What the product-name map says of a wording that is no crown."""

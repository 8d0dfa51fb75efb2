"""A reader for the invoices of one lab, whose headings the general readers don't know; to copy from."""

from __future__ import annotations

from feesheet.reading.invoices.layout import Layout, reader

RIVER_LAB = reader(
    Layout(
        name="the lab by the river",
        # Words that stand on each of its papers and on no other lab's: by them the reader takes a file.
        marks=("all work guaranteed five years", "ticket"),
        # Its words over the columns, for the fields of shared/invoice_headings.csv.
        headings={
            "description": ("Made for you",),
            "teeth": ("Where",),
            "quantity": ("How many",),
            "unit_price": ("One costs",),
            "amount": ("In all",),
        },
        # Its words before a value above the table, for the fields of shared/invoice_labels.csv.
        labels={"invoice": ("Ticket",), "date": ("Sent on",), "clinic": ("Sent to",)},
        # Its words in the row that holds the whole, beside total, amount due and the like.
        totals=("Please pay",),
        # What is always so on its papers, and what it is called on the sheet "Labs".
        decimal=",",
        date_order="day first",
        weight_unit="g",
        lab="lab A",
    )
)

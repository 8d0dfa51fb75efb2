"""What a practice already knows, as far as reading its labs' invoices needs it. Travels to the reading process."""

from __future__ import annotations

import hashlib
import hmac
from collections.abc import Mapping
from dataclasses import dataclass, field


@dataclass(frozen=True)
class LabKnown:
    """One lab of the Labs table: its short name, the names that its paper carries, its habits ("" if not known)."""

    name: str
    on_invoices: tuple[str, ...] = ()
    notation: str = ""
    weight_unit: str = ""
    date_order: str = ""
    currency: str = ""


@dataclass(frozen=True)
class Context:
    """The practice's own names and words.

    `key` is made anew for each run and never kept: case numbers leave the reading process only as hashes
    made with it. `path_lab` is the lab that the file's own path names. `accounts` are (lab or "", words on the paper, site). `products` gives (material, line kind)
    by (plain lab or "", plain wording). `words` are all words, made plain, that are known to name no patient.
    """

    key: bytes = b""
    labs: tuple[LabKnown, ...] = ()
    sites: tuple[str, ...] = ()
    accounts: tuple[tuple[str, str, str], ...] = ()
    products: Mapping[tuple[str, str], tuple[str, str]] = field(default_factory=dict)
    materials: tuple[str, ...] = ()
    alloys: tuple[str, ...] = ()
    words: frozenset[str] = frozenset()
    currency: str = ""
    path_lab: str = ""

    def lab(self, name: str) -> LabKnown | None:
        """The lab of that settled name."""
        return next((lab for lab in self.labs if lab.name == name), None)

    def hashed(self, text: str) -> str:
        """A case or patient number as a keyed hash, "" for nothing. Spaces and case do not matter."""
        words = "".join(text.split()).casefold()
        return hmac.new(self.key, words.encode(), hashlib.sha256).hexdigest()[:16] if words else ""

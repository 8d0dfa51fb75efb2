"""The best guess of what a lab's wording means, for a person to confirm. It rests on words alone, never on a price."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from feesheet.phrases import concepts
from feesheet.schema import plain
from feesheet.tables import NOT_A_CROWN

_ZIRCONIA = "zirconia"
_MONOLITHIC = "monolithic zirconia"
_ZIRCONIAS = frozenset({_ZIRCONIA, _MONOLITHIC, "layered zirconia"})


@dataclass(frozen=True)
class Guess:
    """A material of the practice's list, "not a crown", or "" where nothing fits or several do; and why, in words."""

    material: str
    reason: str


def guess(wording: str, materials: Sequence[str], alloy_class: str = "") -> Guess:
    """The one material that the words of a lab can mean, in the order in which they tell: use, family, class, place.

    `alloy_class` is the class that the wording's lines name, if they do. A class that nobody names is not assumed.

    >>> guess("FCZ crown", ["zirconia, monolithic", "zirconia, layered"])
    Guess(material='zirconia, monolithic', reason='"fcz" means monolithic zirconia')
    >>> guess("PFM", ["metal-ceramic, base", "metal-ceramic, noble"]).reason
    'metal-ceramic, but the class of the alloy is not named: metal-ceramic, base; metal-ceramic, noble'
    """
    for material in materials:
        if plain(material) == plain(wording):
            return Guess(material, "it is the material's own name")
    use = concepts(wording, "use")
    if use:
        return Guess(NOT_A_CROWN, f"{_quoted(use.values())} is not a crown")
    families = _families(wording)
    if not families:
        return Guess("", "no word of it names a kind of material")
    if len(families) > 1:
        return Guess("", f"it names several kinds of material: {'; '.join(families)}")
    return _of_family(wording, materials, alloy_class, *families.items())


def _families(words: str) -> dict[str, str]:
    """The kinds of material that are named; plain zirconia only where nothing says which."""
    found = concepts(words, "family")
    if _ZIRCONIA in found and len(found.keys() & _ZIRCONIAS) > 1:
        del found[_ZIRCONIA]
    return found


def _of_family(wording: str, materials: Sequence[str], alloy_class: str, named: tuple[str, str]) -> Guess:
    family, said = named
    fitting = _same_family(family, materials)
    if not fitting:
        return Guess("", f"no material on the list is {family}")
    partial = concepts(wording, "form").get("partial coverage", "")
    if partial and not any("partial coverage" in concepts(material, "form") for material in fitting):
        return Guess("", f'"{partial}" is no full crown, and no material on the list is meant for it')
    held = concepts(wording, "support").get("implant", "")
    if held and not any("implant" in concepts(material, "support") for material in fitting):
        return Guess("", f'"{held}" is no crown on a tooth, and no material on the list is meant for it')
    classes = {name for name in (alloy_class, *concepts(wording, "class")) if name}
    if any(concepts(material, "class") for material in fitting):
        if not classes:
            return Guess("", f"{family}, but the class of the alloy is not named: {'; '.join(fitting)}")
        if len(classes) > 1:
            return Guess("", f"the words and the lines name several classes: {'; '.join(sorted(classes))}")
        of_class = [material for material in fitting if set(concepts(material, "class")) == classes]
        if not of_class:
            return Guess("", f"no material on the list is {family} of the class {'; '.join(classes)}")
        fitting = of_class
    fitting = _same(wording, _same(wording, fitting, "place"), "support")
    if len(fitting) != 1:
        return Guess("", f"several materials fit: {'; '.join(fitting)}")
    if not concepts(fitting[0], "class"):
        return Guess(fitting[0], f'"{said}" means {family}')
    class_said = concepts(wording, "class").values()
    reason = f"{_quoted((said, *class_said))} means {family}, {'; '.join(classes)}"
    return Guess(fitting[0], reason if class_said else f"{reason}, the class of its lines")


def _same_family(family: str, materials: Sequence[str]) -> list[str]:
    """The materials of that kind; a list that knows one zirconia only means it for whole crowns of zirconia too."""
    kinds = {material: set(_families(material)) for material in materials}
    wanted = _ZIRCONIAS if family == _ZIRCONIA else frozenset({family})
    fitting = [material for material, kind in kinds.items() if kind & wanted]
    if not fitting and family == _MONOLITHIC:
        fitting = [material for material, kind in kinds.items() if kind == {_ZIRCONIA}]
    return fitting


def _same(wording: str, materials: list[str], group: str) -> list[str]:
    """Those that say nothing else of place or support than the wording does; all where none would be left.

    A material that names one is not meant where the wording names another, and the one that names the same is
    meant rather than one that names none.
    """
    said = set(concepts(wording, group))
    names = {material: set(concepts(material, group)) for material in materials}
    if not said:
        plainly = [material for material, own in names.items() if not own]
        return plainly if group == "support" and plainly else materials
    agreeing = [material for material, own in names.items() if own & said]
    return agreeing or [material for material, own in names.items() if not own] or materials


def _quoted(words: Iterable[str]) -> str:
    return ", ".join(f'"{word}"' for word in words)

"""Words and signs that people write for a currency in place of its three letters (from memory)."""

from __future__ import annotations

from functools import cache

from feesheet import reference

_NAMES = {
    "USD": "us$|us dollar|american dollar|united states dollar",
    "CAD": "ca$|c$|can$|canadian dollar",
    "AUD": "au$|a$|australian dollar",
    "NZD": "nz$|new zealand dollar",
    "HKD": "hk$|hong kong dollar",
    "SGD": "s$|singapore dollar",
    "EUR": "€|euro",
    "GBP": "£|uk£|gb£|pound sterling|pounds sterling|british pound|uk pound",
    "CHF": "sfr|swiss franc|schweizer franken",
    "JPY": "yen|japanese yen",
    "CNY": "rmb|renminbi|yuan",
    "INR": "₹|indian rupee",
    "MXN": "mx$|mexican peso",
    "BRL": "r$|reais|brazilian real",
    "DKK": "danish krone|danish kroner",
    "NOK": "norwegian krone|norwegian kroner",
    "SEK": "swedish krona|swedish kronor",
    "PLN": "zł|zloty|złoty",
    "CZK": "kč|czech koruna",
    "KRW": "₩|korean won|south korean won",
    "ILS": "₪|nis|new shekel|israeli shekel",
    "TRY": "₺|turkish lira",
    "THB": "฿|baht",
    "UAH": "₴|hryvnia",
    "RUB": "₽|russian rouble|russian ruble",
}
"""Names of one currency alone. Single words that are surnames too are left out."""
_SHARED = {
    "$": "USD CAD AUD NZD HKD SGD TWD BSD BBD BMD BZD FJD GYD JMD KYD NAD TTD XCD MXN ARS CLP COP UYU",
    "dollar": "USD CAD AUD NZD HKD SGD TWD BSD BBD BMD BZD FJD GYD JMD KYD NAD TTD XCD",
    "pound": "GBP EGP GIP FKP SHP",
    "franc": "CHF XOF XAF XPF",
    "peso": "MXN ARS CLP COP UYU PHP DOP",
    "rupee": "INR PKR LKR NPR MUR",
    "krone": "DKK NOK",
    "kroner": "DKK NOK",
    "krona": "SEK ISK",
    "kronor": "SEK",
    "kr": "DKK NOK SEK ISK",
    "¥": "JPY CNY",
}
"""Names of several currencies, with those that they may stand for."""


@cache
def _by_name() -> dict[str, str]:
    return {name: code for code, names in _NAMES.items() for name in names.split("|")}


def code_of(word: str, own: str = "") -> str:
    """The three letters of the currency that a word plainly names, "" for none; a shared name such as dollar is `own`'s.

    >>> code_of("U.S. dollars"), code_of("eur"), code_of("Euros"), code_of("C $")
    ('USD', 'EUR', 'EUR', 'CAD')
    >>> code_of("dollars", "CAD"), code_of("dollars", "EUR"), code_of("Doe", "USD")
    ('CAD', '', '')
    """
    letters = word.strip().upper()
    if letters in reference.minor_digits():
        return letters
    for name in _forms(word):
        if name in _by_name():
            return _by_name()[name]
        if own and own in _SHARED.get(name, "").split():
            return own
    return ""


def is_known(word: str) -> bool:
    """Whether a word is a currency's name or sign, be it that of several.

    >>> is_known("US dollars"), is_known("Dollars"), is_known("Doe")
    (True, True, False)
    """
    return bool(code_of(word)) or any(name in _SHARED for name in _forms(word))


def _forms(word: str) -> tuple[str, ...]:
    """A word as names are compared: in small letters, without stops and a blank before a sign; and without an s of several."""
    name = " ".join(word.casefold().replace(".", "").split()).replace(" $", "$").replace(" £", "£")
    return name, name.removesuffix("s")

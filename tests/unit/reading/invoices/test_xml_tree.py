"""The reading of strangers' XML: what is refused, and what of a sound file is kept."""

from __future__ import annotations

from pathlib import Path

import pytest

from feesheet.reading.gate import Refusal
from feesheet.reading.invoices import xml_tree
from feesheet.reading.invoices.xml_tree import LINE, line_of, read_xml

LAUGHS = (
    '<!DOCTYPE a [<!ENTITY b "ha">'
    + "".join(f'<!ENTITY b{i} "{f"&b{i - 1};" * 10}">' for i in range(1, 10))
    + "]><a>&b9;</a>"
)
DECLARED = {
    "doctype": "<!DOCTYPE a><a/>",
    "billion laughs": LAUGHS,
    "entity from a file": '<!DOCTYPE a [<!ENTITY x SYSTEM "file:///etc/hostname">]><a>&x;</a>',
    "entity from the network": '<!DOCTYPE a [<!ENTITY x SYSTEM "http://localhost/x">]><a>&x;</a>',
    "parameter entity": '<!DOCTYPE a [<!ENTITY % x SYSTEM "file:///etc/hostname">%x;]><a/>',
    "definition elsewhere": '<!DOCTYPE a SYSTEM "http://localhost/a.dtd"><a/>',
    "words in between": "<!-- <a/> --><!DOCTYPE\na\n><a/>",
}


@pytest.mark.parametrize("codec", ["utf-8", "utf-8-sig", "utf-16", "utf-16-le", "utf-16-be"])
@pytest.mark.parametrize("name", DECLARED)
def test_document_types_are_refused(name: str, codec: str) -> None:
    """A declared document type is refused in whatever letters it is written, before any entity is looked up."""
    with pytest.raises(Refusal) as refused:
        read_xml(DECLARED[name].encode(codec))

    assert refused.value.kind == "not a workbook"
    assert "document type" in refused.value.what


@pytest.mark.parametrize("codec", ["windows-1252", "iso-8859-1", "us-ascii", "cp500", "utf-7"])
def test_declared_encodings_hide_nothing(codec: str) -> None:
    """A document type in a declared one-byte encoding, or in one that can't be read, is refused too."""
    text = f'<?xml version="1.0" encoding="{codec}"?><!DOCTYPE a [<!ENTITY x "y">]><a>&x;</a>'

    with pytest.raises(Refusal):
        read_xml(text.encode(codec))


@pytest.mark.parametrize(
    "data",
    [
        b"",
        b" \r\n",
        b"\0\0\0\0",
        b"plain words",
        b"<a>",
        b"<a></b>",
        b"<a/><a/>",
        b"<a>\0</a>",
        b"<a>&#0;</a>",
        b"<a>&unknown;</a>",
        b"<a b='1' b='2'/>",
        b"<x:a/>",
        b"<a>\xff\xfe</a>",
        b'<?xml version="1.0" encoding="nonsense"?><a/>',
        b'<?xml version="1.0" encoding="base64"?><a/>',
        b'<?xml version="1.0" encoding="shift_jis"?><a/>',
        b'<?xml version="1.0" encoding="utf-16"?><a/>',
        '<?xml version="1.0" encoding="utf-8"?><a>é</a>'.encode("latin-1"),
        "<a>words</a>".encode("utf-32"),
    ],
)
def test_damaged_files_are_refused(data: bytes) -> None:
    """Empty, cut, mistyped and wrongly encoded files are refused in plain words."""
    with pytest.raises(Refusal) as refused:
        read_xml(data)

    assert refused.value.kind == "not a workbook"


def test_refusal_names_the_line() -> None:
    """The line where the reading stopped is told."""
    with pytest.raises(Refusal) as refused:
        read_xml(b"<a>\n<b>\n</c>\n</a>")

    assert refused.value.cell == "line 3"


@pytest.mark.parametrize(
    "text",
    [
        "<a>" * (xml_tree.MOST_DEPTH + 1) + "</a>" * (xml_tree.MOST_DEPTH + 1),
        f"<a b='{'x' * (xml_tree.MOST_ATTRIBUTE + 1)}'/>",
        "<a" + "".join(f" b{i}='1'" for i in range(xml_tree.MOST_ATTRIBUTES + 1)) + "/>",
        f"<a>{'<b/>' * xml_tree.MOST_PARTS}</a>",
    ],
    ids=["depth", "long attribute", "many attributes", "many elements"],
)
def test_files_beyond_the_limits_are_refused(text: str) -> None:
    """Depth, attributes and number of parts are bounded."""
    with pytest.raises(Refusal) as refused:
        read_xml(text.encode())

    assert refused.value.kind == "too large"


def test_size_is_bounded(monkeypatch: pytest.MonkeyPatch) -> None:
    """A file of more bytes than an invoice needs is refused before it is read."""
    monkeypatch.setattr(xml_tree, "MOST_BYTES", 10)

    with pytest.raises(Refusal) as refused:
        read_xml(b"<a>words</a>")

    assert refused.value.kind == "too large"


def test_depth_at_the_limit_is_read() -> None:
    """Just as deep as allowed is still read."""
    assert read_xml(b"<a>" * xml_tree.MOST_DEPTH + b"</a>" * xml_tree.MOST_DEPTH).tag == "a"


def test_names_keep_their_namespaces() -> None:
    """Prefixes don't matter, the namespaces they stand for do; attributes have theirs only if they say so."""
    root = read_xml(b"<p:a xmlns:p='urn:x' xmlns='urn:y' p:k='1' l='2'><b/></p:a>")

    assert (root.tag, root[0].tag) == ("{urn:x}a", "{urn:y}b")
    assert (root.get("{urn:x}k"), root.get("l")) == ("1", "2")


@pytest.mark.parametrize("end", ["\n", "\r\n"])
def test_lines_are_those_of_the_file(end: str) -> None:
    """Each element knows the line of the file where it begins."""
    root = read_xml(
        end.join(("<?xml version='1.0'?>", "<a>", "<!-- two", "lines -->", "<b", "/>", "</a>")).encode()
    )

    assert (line_of(root), line_of(root[0])) == (2, 5)


def test_no_file_can_write_the_line_itself() -> None:
    """The name of the attribute that holds the line is none that XML allows."""
    assert line_of(read_xml(b"<a line='99'/>")) == 1
    with pytest.raises(Refusal):
        read_xml(f"<a {LINE}='99'/>".encode())


def test_marked_sections_and_comments() -> None:
    """Marked sections are words like any other, comments and instructions are none."""
    assert read_xml(b"<a>1<![CDATA[<2>]]><!-- 3 --><?x 4?>5</a>").text == "1<2>5"


def test_nothing_is_imported_that_could_fetch() -> None:
    """The module uses Python's own expat alone."""
    text = Path(xml_tree.__file__).read_text(encoding="utf-8")

    assert "urllib" not in text
    assert "lxml" not in text

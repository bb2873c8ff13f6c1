"""Reading the links and ids of one file: HTML, SVG and CSS."""

import re
from collections.abc import Iterator
from dataclasses import dataclass
from html import unescape
from html.parser import HTMLParser


@dataclass(frozen=True, slots=True)
class Link:
    """An address as written: `link` a reader may follow, `resource` a reader's program fetches, `id` in the page."""

    target: str
    kind: str
    line: int


@dataclass(frozen=True, slots=True)
class Remark:
    """Something wrong that shows in the page alone."""

    kind: str
    target: str
    line: int
    message: str


@dataclass(frozen=True, slots=True)
class PageLinks:
    """Links and ids of one file; small, and all that checking the site needs of it."""

    path: str
    links: tuple[Link, ...]
    ids: frozenset[str]
    remarks: tuple[Remark, ...] = ()


# Attributes whose address is fetched without being asked for.
_FETCHED = {
    "img": ("src",),
    "script": ("src", "href", "xlink:href"),
    "iframe": ("src",),
    "embed": ("src",),
    "frame": ("src",),
    "object": ("data",),
    "audio": ("src",),
    "video": ("src", "poster"),
    "source": ("src",),
    "track": ("src",),
    "input": ("src",),
    "body": ("background",),
    "table": ("background",),
    "image": ("href", "xlink:href"),
    "use": ("href", "xlink:href"),
    "feimage": ("href", "xlink:href"),
    "lineargradient": ("href", "xlink:href"),
    "radialgradient": ("href", "xlink:href"),
    "pattern": ("href", "xlink:href"),
    "textpath": ("href", "xlink:href"),
    "mpath": ("href", "xlink:href"),
}
_FOLLOWED = ("href", "xlink:href", "action", "formaction", "cite", "longdesc")
_FETCHING_RELATIONS = {
    "stylesheet", "icon", "apple-touch-icon", "mask-icon", "manifest", "preload", "modulepreload", "prefetch",
    "prerender", "preconnect", "dns-prefetch", "pingback",
}  # fmt: skip
# Attributes that name ids of the same page.
_NAMING_IDS = {"for", "aria-labelledby", "aria-describedby", "aria-controls", "aria-owns", "aria-details",
               "headers", "list", "form", "aria-activedescendant", "aria-flowto", "aria-errormessage"}  # fmt: skip
_STYLING = {"style", "fill", "stroke", "filter", "mask", "clip-path", "cursor",
            "marker-start", "marker-mid", "marker-end"}  # fmt: skip
_CSS_COMMENT = re.compile(r"/\*.*?(?:\*/|\Z)", re.DOTALL)
_CSS_ADDRESS = re.compile(
    r"""url\(\s*(?:"([^"]*)"|'([^']*)'|([^"'\s)][^)]*))|@import\s+(?:"([^"]*)"|'([^']*)')""", re.IGNORECASE
)
_CANDIDATE = re.compile(r"[\s,]*+(\S*[^\s,])(?:,+|\s+[^,]*,?|$)")
_REFRESH = re.compile(r"""^[\s\d.]*[;,]\s*(?:url\s*=)?\s*['"]?([^'"]+)""", re.IGNORECASE)


def collect_links(path: str, content: bytes) -> PageLinks:
    """Links and ids of one file; files of other kinds have none."""
    ending = path.rpartition(".")[2].lower()
    if ending not in ("html", "htm", "xhtml", "svg", "css"):
        return PageLinks(path, (), frozenset())
    try:
        text = content.decode("utf-8")
        remarks: list[Remark] = []
    except UnicodeDecodeError as error:
        text = content.decode("utf-8", errors="replace")
        line = content.count(b"\n", 0, error.start) + 1
        remarks = [Remark("not UTF-8", path, line, "holds bytes that are no UTF-8; write it in UTF-8.")]
    if ending == "css":
        return PageLinks(path, tuple(_css_links(text, 1)), frozenset(), tuple(remarks))
    reader = _QuickReader() if is_plain(text) else _Reader()
    reader.feed(text)
    reader.close()
    return PageLinks(path, tuple(reader.links), frozenset(reader.ids), (*remarks, *reader.remarks))


def _css_links(text: str, line: int) -> Iterator[Link]:
    text = _CSS_COMMENT.sub(lambda found: "\n" * found[0].count("\n"), text)
    for match in _CSS_ADDRESS.finditer(text):
        target = next(group for group in match.groups() if group is not None).strip()
        yield Link(target, "resource", line + text.count("\n", 0, match.start()))


def srcset_addresses(text: str) -> Iterator[str]:
    """The addresses of a srcset, without their widths; commas within an address stay."""
    for match in _CANDIDATE.finditer(text.strip(" \t\r\n\f,")):
        yield match[1]


class _Reader(HTMLParser):
    def __init__(self) -> None:
        super().__init__(convert_charrefs=True)
        self.links: list[Link] = []
        self.ids: set[str] = set()
        self.remarks: list[Remark] = []
        self._style_line = 0
        self._style: list[str] | None = None

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        """Take the addresses and ids of one tag."""
        line = self.getpos()[0]
        if tag == "style":
            self._style, self._style_line = [], line
        values = {name: value or "" for name, value in reversed(attrs)}  # the first of two counts
        fetched = _FETCHED.get(tag, ())
        if tag == "link" and _FETCHING_RELATIONS & set(values.get("rel", "").lower().split()):
            fetched = ("href",)
        for name, value in values.items():
            if name in fetched:
                self._add(value, "resource", line)
            elif name in ("srcset", "imagesrcset"):
                for address in srcset_addresses(value):
                    self._add(address, "resource", line)
            elif name == "ping":
                for address in value.split():
                    self._add(address, "resource", line)
            elif name in _FOLLOWED and tag != "base":
                self._add(value, "link", line)
            elif name == "id" or (name == "name" and tag == "a"):
                self._add_id(value, line, name)
            elif name in _NAMING_IDS:
                for identifier in value.split():
                    self._add(identifier, "id", line)
            elif name in _STYLING and "url(" in value.lower():
                self.links.extend(_css_links(value, line))
        self._remark_on(tag, values, line)

    def _remark_on(self, tag: str, values: dict[str, str], line: int) -> None:
        if tag == "base" and "href" in values:
            message = "changes what every address of the page means; remove it."
            self.remarks.append(Remark("base address", values["href"], line, message))
        if tag == "meta" and values.get("http-equiv", "").lower() == "refresh":
            match = _REFRESH.match(values.get("content", ""))
            if match:
                self._add(match[1].strip(), "resource", line)  # followed without being asked for

    def handle_data(self, data: str) -> None:
        """Gather the text of a style block."""
        if self._style is not None:
            self._style.append(data)

    def handle_endtag(self, tag: str) -> None:
        """Read a style block when it ends."""
        if tag == "style" and self._style is not None:
            self.links.extend(_css_links("".join(self._style), self._style_line))
            self._style = None

    def close(self) -> None:
        """End of the page, of a style block too."""
        super().close()
        if self._style is not None:
            self._style.append(self.rawdata)  # what older parsers keep back of a style block nobody closed
        self.handle_endtag("style")

    def _add(self, target: str, kind: str, line: int) -> None:
        self.links.append(Link(target, kind, line))

    def _add_id(self, value: str, line: int, attribute: str) -> None:
        if attribute == "id" and value in self.ids:
            self.remarks.append(
                Remark("id twice", value, line, "is the id of two elements; links find the first.")
            )
        self.ids.add(value)


# How our own pages and drawings begin, and what none of them holds: only then may tags be found by one pattern.
_OURS = ("<!doctype html>\n<html lang=", '<svg xmlns="http://www.w3.org/2000/svg"')
_UNUSUAL = re.compile(
    r"<(?:!--|!\[|\?|(?:style|base|textarea|plaintext|xmp|iframe|noembed|noframes)\b)", re.IGNORECASE
)
_REFRESHING = re.compile(r"-equiv=\"?refresh", re.IGNORECASE)
_SCRIPT = re.compile(r"(<script\b[^>]*>)(.*?)(?=</script>)", re.DOTALL)
_TAG = re.compile(r"""<([a-zA-Z][^\s/>]*)((?:[^"'>]+|"[^"]*"|'[^']*')+)>""")
_ATTRIBUTE = re.compile(r"""([^\s"'<>/=]+)(?:\s*=\s*(?:"([^"]*)"|'([^']*)'|([^\s"'<>=`]+)))?""")
_TOLD = re.compile(
    r"[=(](?<=(?:ref|src|set|.id|ame|for|ers|ist|orm|ion|ite|esc|ata|ter|und|ing|dby|ols|ils|wns|ant|wto|age|..\s)="
    r"|url\()",
    re.IGNORECASE | re.DOTALL,
)
"""After which an address or an id may stand: a sign, and what the attributes that have any end in before it.

A pattern that begins with one of two signs passes the rest of a page by; the names first took four times as long.
"""


def is_plain(text: str) -> bool:
    """Whether a text is one of our own pages or drawings, of whose tags none can be mistaken."""
    return (
        text.startswith(_OURS)
        and not any(sign in text for sign in "\0\f\r")
        and _UNUSUAL.search(text) is None
        and _REFRESHING.search(text) is None
    )


class _QuickReader(_Reader):
    """Finds the tags of our own pages by one pattern: the parser is thirty times slower, and finds the same."""

    _line = 1

    def getpos(self) -> tuple[int, int]:
        """The line of the tag that is being read."""
        return self._line, 0

    def feed(self, data: str) -> None:
        """Read a whole page."""
        data = _SCRIPT.sub(lambda found: found[1] + "\n" * found[2].count("\n"), data)
        counted = last = 0
        for told in _TOLD.finditer(data):
            start = data.rfind("<", last, told.start())
            if start < 0:
                continue  # words between two tags, or a second attribute of the tag read last
            found = _TAG.match(data, start)
            if found is None:
                last = start + 1
                continue
            last = found.end()
            if last <= told.start():
                continue  # words between two tags
            self._line += data.count("\n", counted, start)
            counted = start
            self.handle_starttag(found[1].lower(), [_attribute(one) for one in _ATTRIBUTE.finditer(found[2])])

    def close(self) -> None:
        """Nothing is left over."""


def _attribute(found: re.Match[str]) -> tuple[str, str | None]:
    value = next((one for one in found.groups()[1:] if one is not None), None)
    return found[1].lower(), unescape(value) if value is not None and "&" in value else value

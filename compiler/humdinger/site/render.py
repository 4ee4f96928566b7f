"""Manual -> files, as a mapping of relative path to bytes. Same manual, same bytes."""

from __future__ import annotations

from collections.abc import Mapping

from jinja2 import BaseLoader, Environment, StrictUndefined, TemplateNotFound
from markupsafe import Markup

from ..manual.model import File, Link, Manual, Picture, Strong, Text
from ..source.data import read_data

ALLOWED_TAGS = {"p", "em", "strong", "ul", "ol", "li", "code", "br", "blockquote", "a"}


class _Templates(BaseLoader):
    """Finds templates in the wheel and in a bare checkout alike, which PackageLoader does not."""

    def get_source(self, environment: Environment, template: str) -> tuple[str, str | None, None]:
        try:
            return read_data("templates", template), None, None
        except FileNotFoundError as fault:
            raise TemplateNotFound(template) from fault


def render(manual: Manual) -> Mapping[str, bytes]:
    """Every file of the site. Pages that share a name would be a fault of ours: KeyError."""
    environment = Environment(loader=_Templates(), autoescape=True, undefined=StrictUndefined, trim_blocks=True, lstrip_blocks=True)
    titles = {page.name: "Cover" if page.name == "index" else page.title for page in manual.pages}
    environment.filters["runs"] = lambda text: _runs(text, titles)
    environment.filters["prose"] = _prose
    environment.filters["anchor"] = anchor_of
    environment.filters["quoted"] = quoted
    environment.filters["drawing"] = Markup  # SVG made by drawing/, which escapes every text it sets
    environment.tests["instance"] = lambda value, name: type(value).__name__ == name
    template = environment.get_template("page.html.j2")
    files: dict[str, bytes] = {"style.css": read_data("templates", "style.css").encode()}
    for i, page in enumerate(manual.pages):
        before = manual.pages[i - 1] if i else None
        after = manual.pages[i + 1] if i + 1 < len(manual.pages) else None
        path = f"{page.name}.html"
        if path in files:
            raise KeyError(path)
        files[path] = template.render(manual=manual, page=page, before=before, after=after).encode()
    files.update({path: text.encode() for path, text in manual.files.items()})
    return dict(sorted(files.items()))


def anchor_of(text: str) -> str:
    """An anchor as an HTML id: spaces and slashes become hyphens."""
    return "".join(c if c.isalnum() or c in "-_.:" else "-" for c in text)


def quoted(text: str) -> Markup:
    """A text as a CSS string that is safe inside a style element too: everything but letters, digits and blanks as a code point.

    The blank after a code point belongs to it.
    """
    return Markup('"{}"').format(Markup("".join(c if c.isalnum() or c == " " else f"\\{ord(c):06x} " for c in text)))


def _runs(text: Text, titles: Mapping[str, str]) -> Markup:
    """A text of runs as HTML, everything escaped. titles: of the pages, by name."""
    return Markup("").join(_run(run, titles) for run in text)


def _run(run: object, titles: Mapping[str, str]) -> Markup:
    if isinstance(run, Link):
        page = f"{run.page}.html" if run.page else ""
        anchor = f"#{anchor_of(run.anchor)}" if run.anchor else ""
        leads = titles.get(run.page, "")
        if not leads or leads.casefold() in run.text.casefold():
            return Markup('<a href="{}{}">{}</a>').format(page, anchor, run.text)
        return Markup('<a href="{}{}" data-leads="{}">{}</a>').format(page, anchor, leads, run.text)
    if isinstance(run, File):
        return Markup('<a href="{}" download>{}</a>').format(run.path, run.text)
    if isinstance(run, Picture):
        return Markup('<span class="picture" aria-hidden="true">{}</span>').format(Markup(run.svg))
    if isinstance(run, Strong):
        return Markup("<strong>{}</strong>").format(run.text)
    return Markup("{}").format(run)


def _prose(text: str) -> Markup:
    """The user's markdown, cleaned: no raw HTML, no script, no picture from elsewhere."""
    import markdown
    import nh3

    html = markdown.markdown(text, output_format="html")
    return Markup(nh3.clean(html, tags=ALLOWED_TAGS, attributes={"a": {"href"}}, url_schemes={"https", "http", "mailto"}))

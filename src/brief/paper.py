"""Lays HTML pages out as PDF with WeasyPrint: many pages, one start.

Standard input holds pages, each a line "IDENTIFIER BYTES" and then so many bytes of HTML. Standard output gets an
answer for each, in the same order: a line "pdf BYTES" and the PDF, or "none BYTES" and what went wrong.
"""
import inspect
import logging
import sys

from weasyprint import HTML

logging.getLogger("weasyprint").setLevel(logging.CRITICAL)
# Version 58 renamed the argument.
identifier_argument = (
    "identifier" if "identifier" in inspect.signature(HTML.write_pdf).parameters else "pdf_identifier"
)


def nothing_from_outside(url, *_):
    """Documents hold everything they show."""
    raise ValueError(f"the page asks for {url}")


def laid_out(page, identifier):
    html = HTML(string=page.decode("utf-8"), url_fetcher=nothing_from_outside)
    return html.write_pdf(**{identifier_argument: identifier})


def main():
    pages, papers = sys.stdin.buffer, sys.stdout.buffer
    while head := pages.readline():
        identifier, size = head.split()
        page = pages.read(int(size))
        try:
            kind, answer = b"pdf", laid_out(page, identifier)
        except Exception as error:  # one bad page must not take the others with it
            kind, answer = b"none", f"{type(error).__name__}: {error}".encode("utf-8", "replace")
        papers.write(b"%s %d\n" % (kind, len(answer)))
        papers.write(answer)


main()

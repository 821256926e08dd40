"""The first thing a document says where something is withheld from it."""

from dataclasses import replace

from exports.document import Document, Paragraph


def told_first(document: Document, said: str) -> Document:
    """The document, beginning with what is withheld; as it is where nothing is to be said."""
    if not said:
        return document
    return replace(document, blocks=(Paragraph(text=said, style="caution"), *document.blocks))

"""Reads each page as strictly as the standard for HTML asks: any parse error fails."""

import sys

import html5lib


def errors(path):
    with open(path, "rb") as page:
        parser = html5lib.HTMLParser(strict=False)
        parser.parse(page, transport_encoding="utf-8")
        return [f"{path}:{at[0]}:{at[1]}: {code} {said}" for at, code, said in parser.errors]


pages = sys.argv[1:]
found = [error for page in pages for error in errors(page)]
print("\n".join(found) or f"{len(pages)} pages without a parse error")
sys.exit(1 if found or not pages else 0)

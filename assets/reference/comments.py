#!/usr/bin/python3
"""The house's comments as Doxygen takes them. Usage: comments.py HEADER

The first is of the file, one with a rule of hyphens begins a section, one behind code is of what stands before
it, any other of what comes next."""
import re
import sys

COMMENT = re.compile(r"/\*.*?\*/", re.S)
SECTION = re.compile(r"/\* --- (.*?) -+ ?\n?(?: \*)?/|/\* --- (.*?) -*\s*\*/", re.S)


def plain(words):
    """Nothing in it is a command of Doxygen's."""
    escaped = re.sub(r"[\\@<>#&$]", lambda sign: "\\" + sign[0], words)
    return re.sub(r"`([^`\n]+)`", r"<tt>\1</tt>", escaped)


def is_behind_code(text, start):
    return text[text.rfind("\n", 0, start) + 1:start].strip() not in ("", "{")


def converted(text):
    pieces, at, section = [], 0, False
    for match in COMMENT.finditer(text):
        comment, before = match[0], text[at:match.start()]
        title = SECTION.fullmatch(comment)
        if match.start() == 0:
            comment = "/** @file\n * " + plain(comment[2:-2]).strip() + " */"
        elif title:
            comment = ("/** @} */ " if section else "") + "/** @name " + plain(title[1] or title[2]).strip() + "\n * @{ */"
            section = True
        else:
            opening = "/**<" if is_behind_code(text, match.start()) else "/**"
            comment = opening + plain(comment[2:-2]) + "*/"
        pieces += [before, comment]
        at = match.end()
    rest = text[at:]
    if section:
        rest = rest[:rest.rfind("#endif")] + "/** @} */\n#endif\n"
    return "".join(pieces) + rest


with open(sys.argv[1], encoding="utf-8") as header:
    print(converted(header.read()), end="")

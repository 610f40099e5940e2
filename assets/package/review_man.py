#!/usr/bin/python3
"""The manual page of the review file, from its schema. Usage: review_man.py SCHEMA VERSION DATE"""
import json
import sys


def plain(text):
    text = str(text).replace("\\", "\\e").replace("-", "\\-")
    return "\\&" + text if text[:1] in ".'" else text


def kind(node, schema):
    """What a member may hold, in a few words."""
    if "$ref" in node:
        name = node["$ref"].rpartition("/")[2]
        return kind({k: v for k, v in schema["$defs"][name].items() if k != "description"}, schema) or name
    if "const" in node:
        return json.dumps(node["const"])
    if "enum" in node:
        return ", ".join(json.dumps(value) for value in node["enum"])
    if "items" in node and isinstance(node["items"], dict):
        return f"list of: {kind(node['items'], schema) or 'anything'}"
    if "oneOf" in node or "anyOf" in node:
        return " or ".join(filter(None, (kind(one, schema) for one in node.get("oneOf", node.get("anyOf")))))
    return node.get("type", "")


def bounds(node):
    words = {"minimum": "at least", "exclusiveMinimum": "above", "maximum": "at most",
             "exclusiveMaximum": "below", "default": "default"}
    return [f"{word} {json.dumps(node[key])}" for key, word in words.items() if key in node]


def members(node, schema):
    needed = node.get("required", [])
    for name, member in node["properties"].items():
        parts = [kind(member, schema)] + bounds(member) + (["needed"] if name in needed else [])
        print(f".TP\n.B {plain(name)}\n{plain('; '.join(part for part in parts if part))}.")
        if "description" in member:
            print(plain(member["description"]))


def main():
    path, version, date = sys.argv[1:]
    with open(path, encoding="utf-8") as file:
        schema = json.load(file)
    print(f'.TH SERVEPLUMB\\-REVIEW 5 "{date}" "serveplumb {version}" "File Formats"')
    print(".SH NAME\nserveplumb\\-review \\- the review of a tennis serve, *.review.json")
    print(f".SH DESCRIPTION\nUTF\\-8 JSON. {plain(schema['description'])}")
    print(".PP\nThe reader is strict and says the place of a fault; the writer is atomic. The schema is installed as\n"
          ".IR /usr/share/serveplumb/review.schema.json .")
    print(".SH MEMBERS")
    members(schema, schema)
    for name, node in schema["$defs"].items():
        if "properties" in node:
            print(f".SH {plain(name.upper().replace('_', ' '))}")
            if "description" in node:
                print(plain(node["description"]))
            members(node, schema)
    print(".SH SEE ALSO\n.BR serveplumb (1)")


main()

"""Base letters of characters, from Python's tables of the Unicode Standard.

Question: a list of characters.
Answer: for each its canonical decomposition without combining marks, in small letters.
"""

import json
import sys
import unicodedata


def base(character):
    parts = unicodedata.normalize("NFD", character)
    return "".join(part for part in parts if not unicodedata.combining(part)).lower()


def main():
    with open(sys.argv[1], encoding="utf-8") as file:
        characters = json.load(file)
    print(json.dumps([base(character) for character in characters]))


main()

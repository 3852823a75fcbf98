-- Members that asked to be forgotten, and the signed documents that named them, sealed.

CREATE TABLE forgotten (
    member       TEXT PRIMARY KEY,
    forgotten_by TEXT NOT NULL,
    forgotten_at TEXT NOT NULL,
    because      TEXT NOT NULL
) STRICT, WITHOUT ROWID;

-- Where a document was, an empty text stands instead; its digest stays there.
CREATE TABLE sealed (
    id      INTEGER PRIMARY KEY,
    member  TEXT NOT NULL REFERENCES forgotten (member),
    what    TEXT NOT NULL CHECK (what IN ('entry', 'brief')),
    handset TEXT NOT NULL,
    number  INTEGER NOT NULL, -- of the entry, or the brief's serial
    digest  TEXT NOT NULL,    -- of the document
    signed  TEXT NOT NULL,    -- of its signed text, by which it is known when it comes again
    sealed  TEXT NOT NULL     -- the document as compact JWE under a key that the desk does not have
) STRICT;
CREATE INDEX sealed_document ON sealed (handset, number);

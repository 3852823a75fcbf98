-- The ledger, first shape. A later shape is a further file beside this one, never a change to it.
-- Text that was signed is kept exactly as it came. Sums are whole minor units, mass whole grams,
-- days `2026-10-09`, times RFC 3339 with offset, hashes SHA-256 in base64url.

-- The desk itself; one row. The private key lies in its own file beside the ledger.
CREATE TABLE desk (
    id INTEGER PRIMARY KEY CHECK (id = 1),
    kid TEXT NOT NULL,                    -- thumbprint of the desk's key, to see that the file fits
    name TEXT,                            -- the cooperative; nothing until it is known
    place TEXT,
    complaints TEXT,                      -- where a member complains
    CHECK ((name IS NULL) = (place IS NULL) AND (name IS NULL) = (complaints IS NULL))
) STRICT;

-- Policies and price lists, each text once, by the digest that receipts name.
CREATE TABLE documents (
    digest TEXT PRIMARY KEY,
    kind TEXT NOT NULL CHECK (kind IN ('policy', 'price_list')),
    body TEXT NOT NULL,
    in_use INTEGER NOT NULL CHECK (in_use IN (0, 1)) -- what the next brief holds
) STRICT;
CREATE UNIQUE INDEX one_document_in_use ON documents (kind) WHERE in_use = 1;

-- Enrolled telephones, each with its journal's end and what the review remembers of it.
CREATE TABLE handsets (
    code TEXT PRIMARY KEY,
    kid TEXT NOT NULL UNIQUE,             -- thumbprint of the key
    jwk TEXT NOT NULL,                    -- the public key
    name TEXT NOT NULL,                   -- what the officer calls it
    head_seq INTEGER NOT NULL,            -- last booked entry; 0 before the first
    head_hash TEXT NOT NULL,
    review TEXT NOT NULL                  -- JSON, of the review alone
) STRICT;

-- Briefs given out. A receipt's terms are known when a row here names both of its documents.
CREATE TABLE briefs (
    serial INTEGER PRIMARY KEY,
    handset TEXT NOT NULL REFERENCES handsets,
    policy TEXT NOT NULL REFERENCES documents,
    price_list TEXT NOT NULL REFERENCES documents,
    float_minor INTEGER NOT NULL,
    issued_at TEXT NOT NULL,
    valid_until TEXT NOT NULL
) STRICT;

-- The register of members, those registered in the field included.
CREATE TABLE members (
    number TEXT PRIMARY KEY,
    name TEXT NOT NULL,
    village TEXT,
    phone TEXT,
    language TEXT,
    premiums TEXT NOT NULL,               -- codes with a blank between
    advance_payee TEXT,
    advance_minor INTEGER,                -- outstanding after all booked receipts
    registered_by TEXT REFERENCES handsets, -- the handset, when registered in the field
    CHECK ((advance_payee IS NULL) = (advance_minor IS NULL))
) STRICT;

-- Manifests of bundles taken in: proof of whence a waiting entry came.
CREATE TABLE bundles (
    digest TEXT PRIMARY KEY,              -- of the manifest
    handset TEXT NOT NULL REFERENCES handsets,
    manifest TEXT NOT NULL                -- compact JWS
) STRICT;

-- Booked entries: each handset's journal without a gap. Rows are added, never changed.
CREATE TABLE entries (
    handset TEXT NOT NULL REFERENCES handsets,
    seq INTEGER NOT NULL,
    day TEXT,                             -- on which it moves honey or money, when it does
    compact TEXT NOT NULL,                -- compact JWS
    PRIMARY KEY (handset, seq)
) STRICT, WITHOUT ROWID;
CREATE INDEX entries_by_day ON entries (day) WHERE day IS NOT NULL;

-- Entries with a good signature that do not follow yet: they are booked when the gap is filled.
CREATE TABLE waiting (
    handset TEXT NOT NULL REFERENCES handsets,
    seq INTEGER NOT NULL,
    hash TEXT NOT NULL,
    bundle TEXT NOT NULL REFERENCES bundles,
    compact TEXT NOT NULL,
    PRIMARY KEY (handset, seq, hash)
) STRICT, WITHOUT ROWID;

-- Entries that are not booked, as they came, each once.
CREATE TABLE evidence (
    handset TEXT NOT NULL REFERENCES handsets,
    hash TEXT NOT NULL,
    seq INTEGER,                          -- as it claims, when that could be read
    code TEXT NOT NULL,                   -- of the finding
    compact TEXT NOT NULL,
    PRIMARY KEY (handset, hash)
) STRICT, WITHOUT ROWID;

-- What the clerk must look at, each once.
CREATE TABLE findings (
    id INTEGER PRIMARY KEY,
    handset TEXT NOT NULL REFERENCES handsets,
    seq INTEGER NOT NULL,                 -- 0 when no entry can be named
    number TEXT,                          -- of the receipt or slip, when it is one
    code TEXT NOT NULL,
    weight TEXT NOT NULL CHECK (weight IN ('note', 'question', 'serious')),
    sentence TEXT NOT NULL,
    UNIQUE (handset, seq, code, sentence)
) STRICT;

-- What booked receipts stand at. A number used twice keeps its first receipt.
CREATE TABLE receipts (
    handset TEXT NOT NULL REFERENCES handsets, -- who signed it
    number TEXT NOT NULL,
    member TEXT NOT NULL,
    net_g INTEGER NOT NULL,
    payable_minor INTEGER NOT NULL,
    paid_minor INTEGER NOT NULL,          -- in all so far
    advance_minor INTEGER NOT NULL,       -- taken back of an advance
    pails INTEGER NOT NULL,
    cancelled INTEGER NOT NULL CHECK (cancelled IN (0, 1)),
    PRIMARY KEY (handset, number)
) STRICT, WITHOUT ROWID;

-- Which paper a delivery got, whatever the handset; the first stays.
CREATE TABLE papers (
    delivery_id TEXT PRIMARY KEY,
    number TEXT NOT NULL
) STRICT, WITHOUT ROWID;

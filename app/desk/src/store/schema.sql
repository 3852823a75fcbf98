-- The desk's ledger, step 1.
--
-- A journal's signed entries are the truth; `paper`, `finding`, `repayment` and the members
-- registered in the field follow from them and could be made again.
--
-- digest   SHA-256 in base64url, 43 characters
-- moment   RFC 3339 with offset; day: YYYY-MM-DD
-- money    whole minor units of the ledger's one currency; mass: whole grams

-- The desk itself: one row.
CREATE TABLE desk (
    id          INTEGER PRIMARY KEY CHECK (id = 1),
    private_key BLOB NOT NULL, -- PKCS#8; whoever holds it can sign as this desk
    public_key  TEXT NOT NULL, -- JWK; handsets pin it
    cooperative TEXT           -- JSON: name, place, complaints; NULL until told
) STRICT;

-- Policies and price lists, every one that was ever taken in: receipts name them by digest.
CREATE TABLE terms (
    id          INTEGER PRIMARY KEY, -- in the order taken in
    kind        TEXT NOT NULL CHECK (kind IN ('policy', 'price_list')),
    code        TEXT NOT NULL,       -- its name, such as PL-2026-3
    digest      TEXT NOT NULL,       -- of the document exactly as it stands here
    first_day   TEXT NOT NULL,       -- in force from
    last_day    TEXT,                -- in force until; NULL until further notice
    document    TEXT NOT NULL,       -- JSON
    taken_in_at TEXT NOT NULL,
    UNIQUE (kind, digest)
) STRICT;

-- The register: members entered by the office, and members registered in the field. The same
-- number may stand once for the office and once for each handset that used it.
CREATE TABLE member (
    number            TEXT NOT NULL,
    handset           TEXT NOT NULL, -- that registered it; '' for the office
    name              TEXT NOT NULL,
    village           TEXT,
    phone             TEXT,          -- only when paid by it
    language          TEXT,          -- of receipts
    premiums          TEXT NOT NULL, -- codes, separated by a blank
    advance_payee     TEXT,          -- who lent; NULL when nobody did
    advance_minor     INTEGER,       -- outstanding when the office last said
    given_out         INTEGER NOT NULL DEFAULT 0, -- 1 once it stood in a brief
    PRIMARY KEY (number, handset),
    CHECK ((advance_payee IS NULL) = (advance_minor IS NULL))
) STRICT;

-- What receipts took back of a member's advance since the office last said what is outstanding.
CREATE TABLE repayment (
    member TEXT NOT NULL,
    handset TEXT NOT NULL REFERENCES handset (code),
    repaid_minor INTEGER NOT NULL,
    PRIMARY KEY (member, handset)
) STRICT;

-- Briefs given out.
CREATE TABLE brief (
    serial      INTEGER PRIMARY KEY,
    handset     TEXT NOT NULL REFERENCES handset (code),
    issued_at   TEXT NOT NULL,
    last_day    TEXT NOT NULL,
    float_minor INTEGER NOT NULL,
    compact     TEXT NOT NULL -- JWS as given out
) STRICT;

-- Handsets, each with the end of its journal as booked.
CREATE TABLE handset (
    code        TEXT PRIMARY KEY,     -- begins its receipt numbers
    key_id      TEXT NOT NULL UNIQUE, -- RFC 7638 thumbprint
    public_key  TEXT NOT NULL,        -- JWK
    name        TEXT NOT NULL,
    enrolled_at TEXT NOT NULL,
    booked_seq  INTEGER NOT NULL,     -- last entry booked; 0 before the first
    booked_hash TEXT NOT NULL,        -- its hash
    review      TEXT NOT NULL         -- JSON: what the review remembers from entry to entry
) STRICT;

-- Every entry that came with a good signature, once.
CREATE TABLE entry (
    handset TEXT NOT NULL REFERENCES handset (code),
    seq     INTEGER NOT NULL,
    hash    TEXT NOT NULL,
    booked  INTEGER NOT NULL CHECK (booked IN (0, 1)), -- 0: waits, or contradicts what is booked
    kind    TEXT NOT NULL,
    at      TEXT NOT NULL,
    day     TEXT,          -- the day it counts on, where it has one
    compact TEXT NOT NULL, -- JWS as received
    PRIMARY KEY (handset, seq, hash)
) STRICT;
CREATE UNIQUE INDEX entry_booked ON entry (handset, seq) WHERE booked = 1;
CREATE INDEX entry_apart ON entry (handset, seq) WHERE booked = 0;
CREATE INDEX entry_day ON entry (day) WHERE booked = 1 AND day IS NOT NULL;

-- What was refused, as received.
CREATE TABLE evidence (
    handset  TEXT NOT NULL REFERENCES handset (code),
    digest   TEXT NOT NULL,    -- of the bytes
    seq      INTEGER,          -- what it claims to be, or where it stands in the journal
    position INTEGER NOT NULL, -- place in the file from 1; 0 for a whole file
    file     TEXT NOT NULL,    -- digest of the file it came in
    reason   TEXT NOT NULL,
    bytes    BLOB NOT NULL,
    kept_at  TEXT NOT NULL,
    PRIMARY KEY (handset, digest)
) STRICT;

-- Bundles imported.
CREATE TABLE bundle (
    file        TEXT PRIMARY KEY, -- digest of the file
    manifest    TEXT NOT NULL,    -- digest of its manifest
    handset     TEXT NOT NULL REFERENCES handset (code),
    first_seq   INTEGER NOT NULL,
    last_seq    INTEGER NOT NULL,
    count       INTEGER NOT NULL,
    imported_at TEXT NOT NULL
) STRICT;

-- Receipts and slips, one row each.
CREATE TABLE paper (
    handset       TEXT NOT NULL REFERENCES handset (code),
    seq           INTEGER NOT NULL, -- of its entry
    kind          TEXT NOT NULL CHECK (kind IN ('receipt', 'slip')),
    number        TEXT NOT NULL,
    delivery      TEXT NOT NULL,    -- identity of the delivery
    day           TEXT NOT NULL,
    member        TEXT NOT NULL,
    decision      TEXT NOT NULL CHECK (decision IN ('buy', 'hold', 'refuse')),
    grade         TEXT,
    net_g         INTEGER NOT NULL,
    payable_minor INTEGER NOT NULL,
    paid_minor    INTEGER NOT NULL, -- in all so far
    repaid_minor  INTEGER NOT NULL, -- taken back of an advance
    pails         INTEGER NOT NULL,
    cancelled_by  INTEGER,          -- seq of the cancellation
    PRIMARY KEY (handset, seq)
) STRICT;
CREATE INDEX paper_number ON paper (handset, number);
CREATE INDEX paper_delivery ON paper (delivery);
CREATE INDEX paper_day ON paper (day);

-- What the review found in booked entries, and what manifests signed that was not so.
CREATE TABLE finding (
    handset  TEXT NOT NULL REFERENCES handset (code),
    seq      INTEGER NOT NULL, -- of the entry
    code     TEXT NOT NULL,    -- the same in every language
    weight   TEXT NOT NULL CHECK (weight IN ('note', 'question', 'serious')),
    number   TEXT,             -- of the receipt or slip
    sentence TEXT NOT NULL,
    PRIMARY KEY (handset, seq, code, sentence)
) STRICT;

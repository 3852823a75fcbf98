-- The desk's ledger: who works at it, and what they did with findings and handsets.

-- People who may sign in. A name is never given to somebody else: what it did stays under it.
CREATE TABLE account (
    name       TEXT PRIMARY KEY,
    role       TEXT NOT NULL CHECK (role IN ('receiver', 'bookkeeper', 'approver')),
    password   TEXT NOT NULL, -- Argon2id, PHC string; secret
    made_at    TEXT NOT NULL,
    removed_at TEXT           -- NULL while it may sign in
) STRICT;

-- Who is signed in. The identity itself is with the browser alone.
CREATE TABLE session (
    digest     TEXT PRIMARY KEY, -- of the identity
    account    TEXT NOT NULL REFERENCES account (name),
    begun_at   TEXT NOT NULL,
    seen_at    TEXT NOT NULL
) STRICT;

-- What a clerk did with a finding, each step once; the last one says where it stands.
CREATE TABLE finding_step (
    id       INTEGER PRIMARY KEY, -- in the order taken
    handset  TEXT NOT NULL REFERENCES handset (code),
    seq      INTEGER NOT NULL,    -- of the entry
    code     TEXT NOT NULL,       -- of the finding
    sentence TEXT NOT NULL,       -- of the finding, as it was then
    step     TEXT NOT NULL CHECK (step IN ('accept', 'ask', 'dispute', 'reverse')),
    words    TEXT NOT NULL,       -- why, or what is asked
    account  TEXT NOT NULL,
    taken_at TEXT NOT NULL
) STRICT;
CREATE INDEX finding_step_entry ON finding_step (handset, seq);

-- Handsets whose entries are no longer believed from a moment on.
CREATE TABLE revocation (
    handset     TEXT PRIMARY KEY REFERENCES handset (code),
    from_at     TEXT NOT NULL,
    cause       TEXT NOT NULL CHECK (cause IN ('lost', 'replaced', 'revoked')),
    replacement TEXT REFERENCES handset (code),
    words       TEXT NOT NULL,
    account     TEXT NOT NULL,
    made_at     TEXT NOT NULL
) STRICT;

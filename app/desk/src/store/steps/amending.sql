-- Who changed what the office says, and what was reversed because of a finding.

-- Changes of the register, each once.
CREATE TABLE member_change (
    id         INTEGER PRIMARY KEY, -- in the order made
    member     TEXT NOT NULL,
    changed_by TEXT NOT NULL,
    changed_at TEXT NOT NULL,
    was        TEXT,                -- JSON, as in a brief; NULL where the number was new
    became     TEXT                 -- JSON; both are NULL once the member is forgotten
) STRICT;
CREATE INDEX member_change_member ON member_change (member);

-- Who took it in; NULL where an older program did.
ALTER TABLE terms ADD COLUMN taken_in_by TEXT;

-- What was reversed because of a finding on a receipt: a payment of the desk, or what the receipt
-- still owed. Nothing is erased: a reversal of a debt that was wrong is itself undone.
CREATE TABLE reversal (
    id             INTEGER PRIMARY KEY,
    handset        TEXT NOT NULL,    -- the receipt's, and the finding's
    seq            INTEGER NOT NULL,
    code           TEXT NOT NULL,    -- of the finding
    sentence       TEXT NOT NULL,    -- of the finding, as it was then
    payment        INTEGER REFERENCES payment (id), -- NULL where the debt was reversed
    minor          INTEGER NOT NULL CHECK (minor > 0),
    day            TEXT NOT NULL,    -- the day it counts on
    made_by        TEXT NOT NULL,
    made_at        TEXT NOT NULL,
    because        TEXT NOT NULL,
    undone_day     TEXT,             -- the day its undoing counts on; NULL while it stands
    undone_by      TEXT,
    undone_at      TEXT,
    undone_because TEXT,
    FOREIGN KEY (handset, seq) REFERENCES paper (handset, seq),
    CHECK ((undone_day IS NULL) = (undone_by IS NULL)
        AND (undone_by IS NULL) = (undone_at IS NULL)
        AND (undone_at IS NULL) = (undone_because IS NULL)),
    CHECK (payment IS NULL OR undone_at IS NULL)
) STRICT;
-- A debt is reversed once.
CREATE UNIQUE INDEX reversal_once ON reversal (handset, seq)
    WHERE payment IS NULL AND undone_at IS NULL;
CREATE INDEX reversal_receipt ON reversal (handset, seq);

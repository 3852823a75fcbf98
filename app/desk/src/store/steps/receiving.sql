-- Pails at the store: what is expected there, and what was found.

-- Pails that the papers say go to the store: those bought, and those held there.
CREATE TABLE pail (
    handset TEXT NOT NULL,
    seq     INTEGER NOT NULL, -- of the paper's entry
    place   INTEGER NOT NULL, -- on the paper, from 1
    number  TEXT NOT NULL,    -- painted on it
    PRIMARY KEY (handset, seq, place),
    FOREIGN KEY (handset, seq) REFERENCES paper (handset, seq)
) STRICT, WITHOUT ROWID;
CREATE INDEX pail_number ON pail (number);

-- Pails weighed and looked at in the store. Nothing is erased: a pail weighed again sets the
-- earlier weighing aside.
CREATE TABLE receiving (
    id                INTEGER PRIMARY KEY,
    pail              TEXT NOT NULL,    -- its number
    handset           TEXT,             -- its paper; NULL while none names it
    seq               INTEGER,
    place             INTEGER,
    day               TEXT NOT NULL,
    gross_g           INTEGER NOT NULL,
    tare_g            INTEGER,          -- NULL while it is not known here
    interval_g        INTEGER NOT NULL, -- of the store's scale
    scale_check       TEXT NOT NULL CHECK (scale_check IN ('passed', 'failed', 'not_done')),
    seal_seen         TEXT NOT NULL CHECK (seal_seen IN ('whole', 'broken', 'missing')),
    seal              TEXT,
    received_by       TEXT NOT NULL,
    received_at       TEXT NOT NULL,
    set_aside_by      TEXT,
    set_aside_at      TEXT,
    set_aside_because TEXT,
    FOREIGN KEY (handset, seq, place) REFERENCES pail (handset, seq, place),
    CHECK ((handset IS NULL) = (seq IS NULL) AND (seq IS NULL) = (place IS NULL)),
    CHECK ((seal IS NULL) = (seal_seen = 'missing')),
    CHECK ((set_aside_by IS NULL) = (set_aside_at IS NULL)
        AND (set_aside_at IS NULL) = (set_aside_because IS NULL))
) STRICT;
-- A pail of a paper is received once.
CREATE UNIQUE INDEX receiving_once ON receiving (handset, seq, place)
    WHERE set_aside_at IS NULL AND handset IS NOT NULL;
CREATE INDEX receiving_unmatched ON receiving (id) WHERE handset IS NULL AND set_aside_at IS NULL;
CREATE INDEX receiving_day ON receiving (day);

-- Where a handset's days begin and end in its journal.
CREATE INDEX entry_ends ON entry (handset, seq)
    WHERE booked = 1 AND kind IN ('day_opened', 'day_closed');

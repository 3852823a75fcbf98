-- Closed days, what came after its day was closed, and cash given to officers during a day.

-- Days that are closed, with their sums as they were then. The last one closes all before it.
CREATE TABLE closed_day (
    day           TEXT PRIMARY KEY,
    closed_by     TEXT NOT NULL,
    closed_at     TEXT NOT NULL,
    receipts      INTEGER NOT NULL,
    slips         INTEGER NOT NULL,
    cancellations INTEGER NOT NULL,
    net_g         INTEGER NOT NULL,
    payable_minor INTEGER NOT NULL,
    paid_minor    INTEGER NOT NULL, -- by officers
    desk_minor    INTEGER NOT NULL  -- by the desk, less what was reversed
) STRICT, WITHOUT ROWID;

-- The entry's or paper's own day, where that was closed when it came; `day` is where it counts.
ALTER TABLE entry ADD COLUMN late_from TEXT;
ALTER TABLE paper ADD COLUMN late_from TEXT;

-- Cash given to an officer during a day; below nothing when it was taken back.
CREATE TABLE cash (
    id       INTEGER PRIMARY KEY,
    handset  TEXT NOT NULL REFERENCES handset (code),
    day      TEXT NOT NULL,
    minor    INTEGER NOT NULL CHECK (minor <> 0),
    note     TEXT,
    given_by TEXT NOT NULL,
    given_at TEXT NOT NULL
) STRICT;
CREATE INDEX cash_day ON cash (day, handset);

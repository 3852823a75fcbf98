-- What keeps pages quick however long the ledger grows: indexes by what pages ask for, and the sums
-- of days, which follow from the entries and could be made again.

-- By day, in the order of the day book.
DROP INDEX entry_day;
CREATE INDEX entry_day ON entry (day, handset, seq) WHERE booked = 1 AND day IS NOT NULL;
DROP INDEX paper_day;
CREATE INDEX paper_day ON paper (day, handset, seq);
-- Openings and closings of a day: where they count, and of late ones their own day.
CREATE INDEX entry_ends_day ON entry (day, handset, seq)
    WHERE booked = 1 AND kind IN ('day_opened', 'day_closed');
CREATE INDEX entry_ends_late ON entry (late_from)
    WHERE booked = 1 AND kind IN ('day_opened', 'day_closed') AND late_from IS NOT NULL;
-- In the order in which the first of several is asked for, so that none but these are read.
DROP INDEX paper_number;
CREATE INDEX paper_number ON paper (handset, number, seq);
DROP INDEX paper_delivery;
CREATE INDEX paper_delivery ON paper (delivery, handset, seq);
CREATE INDEX bundle_handset ON bundle (handset);
CREATE INDEX brief_handset ON brief (handset);
-- The first entry of a handset that is no longer believed; NULL while none is booked.
ALTER TABLE revocation ADD COLUMN from_seq INTEGER;
-- Members registered in the field: looked for when one is forgotten.
CREATE INDEX entry_members ON entry (handset, seq) WHERE kind = 'member_registered';

-- Pails that did not come to the store yet, by the day of their paper; NULL once they came or the
-- paper is cancelled.
ALTER TABLE pail ADD COLUMN on_the_way TEXT;
UPDATE pail SET on_the_way = (SELECT day FROM paper
        WHERE paper.handset = pail.handset AND paper.seq = pail.seq AND cancelled_by IS NULL)
    WHERE NOT EXISTS (SELECT 1 FROM receiving WHERE receiving.handset = pail.handset
        AND receiving.seq = pail.seq AND receiving.place = pail.place AND set_aside_at IS NULL);
CREATE INDEX pail_on_the_way ON pail (on_the_way) WHERE on_the_way IS NOT NULL;

-- What the entries that count on a day come to, by handset.
CREATE TABLE day_total (
    day           TEXT NOT NULL,
    handset       TEXT NOT NULL REFERENCES handset (code),
    receipts      INTEGER NOT NULL,
    slips         INTEGER NOT NULL,
    cancellations INTEGER NOT NULL,
    pails         INTEGER NOT NULL,
    net_g         INTEGER NOT NULL,
    payable_minor INTEGER NOT NULL,
    paid_minor    INTEGER NOT NULL, -- by officers
    PRIMARY KEY (day, handset)
) STRICT, WITHOUT ROWID;

-- And by grade: receipts less cancellations.
CREATE TABLE day_grade (
    day           TEXT NOT NULL,
    grade         TEXT NOT NULL,
    receipts      INTEGER NOT NULL,
    net_g         INTEGER NOT NULL,
    payable_minor INTEGER NOT NULL,
    PRIMARY KEY (day, grade)
) STRICT, WITHOUT ROWID;

-- What the receipts of a day stand at now, those cancelled left out.
CREATE TABLE day_stands (
    day           TEXT NOT NULL,
    grade         TEXT NOT NULL,
    receipts      INTEGER NOT NULL,
    net_g         INTEGER NOT NULL,
    payable_minor INTEGER NOT NULL,
    owed_minor    INTEGER NOT NULL,
    PRIMARY KEY (day, grade)
) STRICT, WITHOUT ROWID;

-- How often something came on the papers of a day.
CREATE TABLE day_tally (
    day   TEXT NOT NULL,
    what  TEXT NOT NULL CHECK (what IN ('moisture', 'limit', 'digit')),
    about TEXT NOT NULL,    -- the kind of bee, or the officer
    scale TEXT NOT NULL,    -- '' for moisture
    value INTEGER NOT NULL, -- hundredths of a percent, or the digit
    count INTEGER NOT NULL,
    PRIMARY KEY (day, what, about, scale, value)
) STRICT, WITHOUT ROWID;

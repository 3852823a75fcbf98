-- What an officer's day is reconciled by, and which payments are to be asked back: both follow from
-- what is kept already and could be made again.

-- What the entries of an officer's day came to, from its opening to its closing, whatever day they
-- count on.
CREATE TABLE officer_day (
    handset        TEXT NOT NULL REFERENCES handset (code),
    opening        INTEGER NOT NULL, -- seq of the entry that opened it
    paid_minor     INTEGER NOT NULL, -- in cash
    returned_minor INTEGER NOT NULL, -- in cash, of cancelled receipts
    counted_minor  INTEGER,          -- cash counted at its end; NULL while it is open
    counted_full   INTEGER,          -- full pails counted
    expected_full  INTEGER,          -- full pails that its papers say
    PRIMARY KEY (handset, opening),
    CHECK ((counted_minor IS NULL) = (counted_full IS NULL)
        AND (counted_full IS NULL) = (expected_full IS NULL))
) STRICT, WITHOUT ROWID;

-- 1 while the money went out, the payment stands, and its receipt was cancelled or more was paid of
-- it than is payable.
ALTER TABLE payment ADD COLUMN get_back INTEGER NOT NULL DEFAULT 0 CHECK (get_back IN (0, 1));
UPDATE payment SET get_back = 1 WHERE settled_at IS NOT NULL AND reversed_at IS NULL
    AND EXISTS (SELECT 1 FROM paper
        WHERE paper.handset = payment.handset AND paper.seq = payment.seq
            AND (cancelled_by IS NOT NULL OR paid_minor > payable_minor));
CREATE INDEX payment_get_back ON payment (get_back) WHERE get_back = 1;

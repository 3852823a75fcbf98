-- What the desk pays: lists that one person proposes and another approves.

CREATE TABLE payment_list (
    id          INTEGER PRIMARY KEY,
    means       TEXT NOT NULL CHECK (means IN ('cash', 'mobile_money')),
    proposed_by TEXT NOT NULL,
    proposed_at TEXT NOT NULL,
    approved_by TEXT,             -- another person; NULL until then
    approved_at TEXT,
    CHECK ((approved_by IS NULL) = (approved_at IS NULL)),
    CHECK (approved_by <> proposed_by)
) STRICT;

-- Payments on the lists. Nothing is erased: a correction is a reversal, on the payment itself.
CREATE TABLE payment (
    id               INTEGER PRIMARY KEY,
    list             INTEGER NOT NULL REFERENCES payment_list (id),
    handset          TEXT NOT NULL,    -- the receipt's
    seq              INTEGER NOT NULL,
    minor            INTEGER NOT NULL CHECK (minor > 0),
    despite          TEXT,             -- why it is paid although something serious was found
    settled_day      TEXT,             -- the day it counts on; NULL until the money went out
    settled_by       TEXT,
    settled_at       TEXT,
    reference        TEXT,             -- the provider's, or of the paper that was signed
    reversed_day     TEXT,             -- the day the reversal counts on; NULL while it stands
    reversed_by      TEXT,
    reversed_at      TEXT,
    reversed_because TEXT,
    FOREIGN KEY (handset, seq) REFERENCES paper (handset, seq),
    CHECK ((settled_day IS NULL) = (settled_by IS NULL) AND (settled_by IS NULL) = (settled_at IS NULL)),
    CHECK (reference IS NULL OR settled_at IS NOT NULL),
    CHECK ((reversed_day IS NULL) = (reversed_by IS NULL)
        AND (reversed_by IS NULL) = (reversed_at IS NULL)
        AND (reversed_at IS NULL) = (reversed_because IS NULL))
) STRICT;
-- A receipt is paid once: it stands on one list at most.
CREATE UNIQUE INDEX payment_once ON payment (handset, seq) WHERE reversed_at IS NULL;
CREATE INDEX payment_receipt ON payment (handset, seq);
CREATE INDEX payment_of_list ON payment (list);
CREATE INDEX payment_settled ON payment (settled_day) WHERE settled_day IS NOT NULL;
CREATE INDEX payment_reversed ON payment (reversed_day) WHERE reversed_day IS NOT NULL;

-- Payments that officers made later, each with the receipt that it is of.
CREATE TABLE field_payment (
    handset TEXT NOT NULL,
    seq     INTEGER NOT NULL, -- of the payment's entry
    paper   INTEGER NOT NULL, -- of the receipt's entry
    PRIMARY KEY (handset, seq),
    FOREIGN KEY (handset, paper) REFERENCES paper (handset, seq)
) STRICT, WITHOUT ROWID;
CREATE INDEX field_payment_paper ON field_payment (handset, paper);

CREATE INDEX paper_member ON paper (member, day);
-- Receipts on which something is owed.
CREATE INDEX paper_owing ON paper (member)
    WHERE kind = 'receipt' AND cancelled_by IS NULL AND paid_minor < payable_minor;
CREATE INDEX finding_serious ON finding (handset, number) WHERE weight = 'serious';

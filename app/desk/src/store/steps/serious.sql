-- On which days something serious was found, without reading the entries: the day on which a
-- finding's entry counts, told when both were kept; NULL where the entry was booked later, or counts
-- on none.
ALTER TABLE finding ADD COLUMN day TEXT;
UPDATE finding SET day = (SELECT day FROM entry WHERE entry.handset = finding.handset
    AND entry.seq = finding.seq AND booked = 1);
CREATE INDEX finding_day ON finding (day) WHERE weight = 'serious';

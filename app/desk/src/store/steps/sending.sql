-- Sending over the network: where the desk is reached, and how a bundle came.
ALTER TABLE desk ADD COLUMN address TEXT;
ALTER TABLE bundle ADD COLUMN sent INTEGER NOT NULL DEFAULT 0 CHECK (sent IN (0, 1));

-- What a receipt owes is payable less paid less what of it was reversed. A debt may be reversed in
-- parts: what comes to be owed after a reversal is reversed by another.
DROP INDEX reversal_once;

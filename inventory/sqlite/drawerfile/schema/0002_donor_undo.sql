-- What a donor was, and which movements take back earlier ones.

ALTER TABLE donor ADD COLUMN was TEXT NOT NULL DEFAULT ''
    CHECK (length(was) <= 64 AND was NOT GLOB '*[' || char(1) || '-' || char(31) || char(127) || ']*');

-- The number of the earlier batch that this movement takes back; NULL for every other movement.
ALTER TABLE movement ADD COLUMN undoes INTEGER CHECK (undoes IS NULL OR (undoes > 0 AND undoes < batch));

CREATE INDEX movement_by_batch ON movement (batch);
CREATE INDEX movement_by_undoes ON movement (undoes) WHERE undoes IS NOT NULL;

-- The journal: every change is one entry. What it altered stands in images, as it was before and as it was after.
-- Counts are not in the images, the ledger of movements has them; batch of a movement is the number of its entry.
-- Triggers write the images while an entry is open, so that no change of these tables can be forgotten.

CREATE TABLE entry (
    id     INTEGER PRIMARY KEY,
    kind   TEXT NOT NULL CHECK (length(kind) BETWEEN 3 AND 24 AND kind NOT GLOB '*[^a-z-]*'),
    reason TEXT NOT NULL CHECK (length(reason) <= 200),
    at     TEXT NOT NULL CHECK (at GLOB '[0-9][0-9][0-9][0-9]-[0-9][0-9]-[0-9][0-9]T[0-9][0-9]:[0-9][0-9]:[0-9][0-9]*Z'),
    -- The number of the entry that this one takes back: an undo takes back a change, a redo an undo.
    undoes INTEGER CHECK (undoes IS NULL OR (undoes > 0 AND undoes < id)),
    -- Of a restore, and of an undo of one: the name of the file beside that holds the drawer as it was before.
    file   TEXT NOT NULL DEFAULT '' CHECK (length(file) <= 255 AND file NOT GLOB '*[/' || char(1) || '-' || char(31) || ']*'),
    open   INTEGER UNIQUE CHECK (open IS NULL OR open = 1)
) STRICT;

-- Before there was a journal only counts could be taken back.
INSERT INTO entry (id, kind, reason, at, undoes)
SELECT batch, CASE WHEN max(undoes) IS NULL THEN 'count' ELSE 'undo' END, min(reason), min(at), max(undoes)
FROM movement GROUP BY batch ORDER BY batch;

DROP INDEX movement_by_undoes;
ALTER TABLE movement DROP COLUMN undoes;

CREATE INDEX entry_by_undoes ON entry (undoes) WHERE undoes IS NOT NULL;

CREATE TRIGGER entry_stays BEFORE UPDATE OF id, kind, reason, at, undoes ON entry
BEGIN
    SELECT RAISE(ABORT, 'the journal is never rewritten');
END;

CREATE TRIGGER entry_is_kept BEFORE DELETE ON entry WHEN old.open IS NULL
BEGIN
    SELECT RAISE(ABORT, 'the journal is never rewritten');
END;

CREATE TABLE lot_image (
    entry     INTEGER NOT NULL REFERENCES entry (id),
    side      TEXT NOT NULL CHECK (side IN ('before', 'after')),
    id        INTEGER NOT NULL,
    part      INTEGER NOT NULL,
    bin       TEXT NOT NULL,
    donor     INTEGER,
    condition TEXT NOT NULL,
    note      TEXT NOT NULL,
    PRIMARY KEY (entry, id, side)
) STRICT, WITHOUT ROWID;

CREATE INDEX lot_image_by_lot ON lot_image (id);

CREATE TRIGGER lot_added AFTER INSERT ON lot
BEGIN
    INSERT INTO lot_image (entry, side, id, part, bin, donor, condition, note)
    SELECT e.id, 'after', new.id, new.part, new.bin, new.donor, new.condition, new.note FROM entry e
        WHERE e.open = 1
    ON CONFLICT DO UPDATE SET part = excluded.part, bin = excluded.bin, donor = excluded.donor,
        condition = excluded.condition, note = excluded.note;
END;

CREATE TRIGGER lot_changed AFTER UPDATE OF part, bin, donor, condition, note ON lot
WHEN (old.id, old.part, old.bin, old.donor, old.condition, old.note) IS NOT (new.id, new.part,
    new.bin, new.donor, new.condition, new.note)
BEGIN
    INSERT INTO lot_image (entry, side, id, part, bin, donor, condition, note)
    SELECT e.id, 'before', old.id, old.part, old.bin, old.donor, old.condition, old.note FROM entry e
    WHERE e.open = 1 AND NOT EXISTS (SELECT 1 FROM lot_image WHERE entry = e.id AND id = old.id);
    INSERT INTO lot_image (entry, side, id, part, bin, donor, condition, note)
    SELECT e.id, 'after', new.id, new.part, new.bin, new.donor, new.condition, new.note FROM entry e
        WHERE e.open = 1
    ON CONFLICT DO UPDATE SET part = excluded.part, bin = excluded.bin, donor = excluded.donor,
        condition = excluded.condition, note = excluded.note;
END;

CREATE TRIGGER lot_removed AFTER DELETE ON lot
BEGIN
    INSERT INTO lot_image (entry, side, id, part, bin, donor, condition, note)
    SELECT e.id, 'before', old.id, old.part, old.bin, old.donor, old.condition, old.note FROM entry e
    WHERE e.open = 1 AND NOT EXISTS (SELECT 1 FROM lot_image WHERE entry = e.id AND id = old.id);
    DELETE FROM lot_image WHERE entry = (SELECT id FROM entry WHERE open = 1) AND side = 'after' AND
        id = old.id;
END;

CREATE TABLE reading_image (
    entry INTEGER NOT NULL REFERENCES entry (id),
    side  TEXT NOT NULL CHECK (side IN ('before', 'after')),
    lot   INTEGER NOT NULL,
    field TEXT NOT NULL,
    value REAL NOT NULL,
    error REAL NOT NULL,
    text  TEXT NOT NULL,
    at    TEXT NOT NULL,
    PRIMARY KEY (entry, lot, field, side)
) STRICT, WITHOUT ROWID;

CREATE TRIGGER reading_added AFTER INSERT ON reading
BEGIN
    INSERT INTO reading_image (entry, side, lot, field, value, error, text, at)
    SELECT e.id, 'after', new.lot, new.field, new.value, new.error, new.text, new.at FROM entry e
        WHERE e.open = 1
    ON CONFLICT DO UPDATE SET value = excluded.value, error = excluded.error, text = excluded.text,
        at = excluded.at;
END;

CREATE TRIGGER reading_changed AFTER UPDATE ON reading
WHEN (old.lot, old.field, old.value, old.error, old.text, old.at) IS NOT (new.lot, new.field,
    new.value, new.error, new.text, new.at)
BEGIN
    INSERT INTO reading_image (entry, side, lot, field, value, error, text, at)
    SELECT e.id, 'before', old.lot, old.field, old.value, old.error, old.text, old.at FROM entry e
    WHERE e.open = 1 AND NOT EXISTS (SELECT 1 FROM reading_image WHERE entry = e.id AND lot =
        old.lot AND field = old.field);
    INSERT INTO reading_image (entry, side, lot, field, value, error, text, at)
    SELECT e.id, 'after', new.lot, new.field, new.value, new.error, new.text, new.at FROM entry e
        WHERE e.open = 1
    ON CONFLICT DO UPDATE SET value = excluded.value, error = excluded.error, text = excluded.text,
        at = excluded.at;
END;

CREATE TRIGGER reading_removed AFTER DELETE ON reading
BEGIN
    INSERT INTO reading_image (entry, side, lot, field, value, error, text, at)
    SELECT e.id, 'before', old.lot, old.field, old.value, old.error, old.text, old.at FROM entry e
    WHERE e.open = 1 AND NOT EXISTS (SELECT 1 FROM reading_image WHERE entry = e.id AND lot =
        old.lot AND field = old.field);
    DELETE FROM reading_image WHERE entry = (SELECT id FROM entry WHERE open = 1) AND side = 'after'
        AND lot = old.lot AND field = old.field;
END;

CREATE TABLE donor_image (
    entry INTEGER NOT NULL REFERENCES entry (id),
    side  TEXT NOT NULL CHECK (side IN ('before', 'after')),
    id    INTEGER NOT NULL,
    name  TEXT NOT NULL,
    was   TEXT NOT NULL,
    plate TEXT NOT NULL,
    state TEXT NOT NULL,
    note  TEXT NOT NULL,
    PRIMARY KEY (entry, id, side)
) STRICT, WITHOUT ROWID;

CREATE TRIGGER donor_added AFTER INSERT ON donor
BEGIN
    INSERT INTO donor_image (entry, side, id, name, was, plate, state, note)
    SELECT e.id, 'after', new.id, new.name, new.was, new.plate, new.state, new.note FROM entry e
        WHERE e.open = 1
    ON CONFLICT DO UPDATE SET name = excluded.name, was = excluded.was, plate = excluded.plate,
        state = excluded.state, note = excluded.note;
END;

CREATE TRIGGER donor_changed AFTER UPDATE ON donor
WHEN (old.id, old.name, old.was, old.plate, old.state, old.note) IS NOT (new.id, new.name, new.was,
    new.plate, new.state, new.note)
BEGIN
    INSERT INTO donor_image (entry, side, id, name, was, plate, state, note)
    SELECT e.id, 'before', old.id, old.name, old.was, old.plate, old.state, old.note FROM entry e
    WHERE e.open = 1 AND NOT EXISTS (SELECT 1 FROM donor_image WHERE entry = e.id AND id = old.id);
    INSERT INTO donor_image (entry, side, id, name, was, plate, state, note)
    SELECT e.id, 'after', new.id, new.name, new.was, new.plate, new.state, new.note FROM entry e
        WHERE e.open = 1
    ON CONFLICT DO UPDATE SET name = excluded.name, was = excluded.was, plate = excluded.plate,
        state = excluded.state, note = excluded.note;
END;

CREATE TRIGGER donor_removed AFTER DELETE ON donor
BEGIN
    INSERT INTO donor_image (entry, side, id, name, was, plate, state, note)
    SELECT e.id, 'before', old.id, old.name, old.was, old.plate, old.state, old.note FROM entry e
    WHERE e.open = 1 AND NOT EXISTS (SELECT 1 FROM donor_image WHERE entry = e.id AND id = old.id);
    DELETE FROM donor_image WHERE entry = (SELECT id FROM entry WHERE open = 1) AND side = 'after'
        AND id = old.id;
END;

CREATE TABLE set_aside_image (
    entry   INTEGER NOT NULL REFERENCES entry (id),
    side    TEXT NOT NULL CHECK (side IN ('before', 'after')),
    id      INTEGER NOT NULL,
    lot     INTEGER NOT NULL,
    count   REAL NOT NULL,
    purpose TEXT NOT NULL,
    at      TEXT NOT NULL,
    PRIMARY KEY (entry, id, side)
) STRICT, WITHOUT ROWID;

CREATE TRIGGER set_aside_added AFTER INSERT ON set_aside
BEGIN
    INSERT INTO set_aside_image (entry, side, id, lot, count, purpose, at)
    SELECT e.id, 'after', new.id, new.lot, new.count, new.purpose, new.at FROM entry e WHERE e.open = 1
    ON CONFLICT DO UPDATE SET lot = excluded.lot, count = excluded.count, purpose =
        excluded.purpose, at = excluded.at;
END;

CREATE TRIGGER set_aside_changed AFTER UPDATE ON set_aside
WHEN (old.id, old.lot, old.count, old.purpose, old.at) IS NOT (new.id, new.lot, new.count,
    new.purpose, new.at)
BEGIN
    INSERT INTO set_aside_image (entry, side, id, lot, count, purpose, at)
    SELECT e.id, 'before', old.id, old.lot, old.count, old.purpose, old.at FROM entry e
    WHERE e.open = 1 AND NOT EXISTS (SELECT 1 FROM set_aside_image WHERE entry = e.id AND id = old.id);
    INSERT INTO set_aside_image (entry, side, id, lot, count, purpose, at)
    SELECT e.id, 'after', new.id, new.lot, new.count, new.purpose, new.at FROM entry e WHERE e.open = 1
    ON CONFLICT DO UPDATE SET lot = excluded.lot, count = excluded.count, purpose =
        excluded.purpose, at = excluded.at;
END;

CREATE TRIGGER set_aside_removed AFTER DELETE ON set_aside
BEGIN
    INSERT INTO set_aside_image (entry, side, id, lot, count, purpose, at)
    SELECT e.id, 'before', old.id, old.lot, old.count, old.purpose, old.at FROM entry e
    WHERE e.open = 1 AND NOT EXISTS (SELECT 1 FROM set_aside_image WHERE entry = e.id AND id = old.id);
    DELETE FROM set_aside_image WHERE entry = (SELECT id FROM entry WHERE open = 1) AND side =
        'after' AND id = old.id;
END;

-- The drawer file, first form. Quantities are REAL in SI base units; NULL means that a figure is given in words.
-- GLOB patterns keep control characters out of names; the program checks the rest (UTF-8, direction marks) before.

CREATE TABLE donor (
    id    INTEGER PRIMARY KEY,
    name  TEXT NOT NULL UNIQUE
          CHECK (length(name) BETWEEN 1 AND 64 AND name NOT GLOB '*[' || char(1) || '-' || char(31) || char(127) || ']*'),
    plate TEXT NOT NULL CHECK (length(plate) <= 1000),
    state TEXT NOT NULL CHECK (length(state) <= 1000),
    note  TEXT NOT NULL CHECK (length(note) <= 1000)
) STRICT;

CREATE TABLE part (
    id          INTEGER PRIMARY KEY,
    kind        TEXT NOT NULL CHECK (length(kind) BETWEEN 3 AND 24 AND kind NOT GLOB '*[^a-z-]*'),
    designation TEXT NOT NULL
                CHECK (length(designation) BETWEEN 1 AND 64
                       AND designation NOT GLOB '*[' || char(1) || '-' || char(31) || char(127) || ']*')
) STRICT;

CREATE INDEX part_by_name ON part (kind, designation);

CREATE TABLE figure (
    part  INTEGER NOT NULL REFERENCES part (id) ON DELETE RESTRICT,
    field TEXT NOT NULL CHECK (length(field) BETWEEN 1 AND 32 AND field NOT GLOB '*[^a-z0-9_]*'),
    value REAL CHECK (value IS NULL OR value BETWEEN -1e12 AND 1e12),
    text  TEXT NOT NULL CHECK (length(text) BETWEEN 1 AND 200),
    basis TEXT NOT NULL CHECK (basis IN ('assumed', 'estimated', 'published', 'measured')),
    PRIMARY KEY (part, field)
) STRICT, WITHOUT ROWID;

CREATE TABLE lot (
    id        INTEGER PRIMARY KEY,
    part      INTEGER NOT NULL REFERENCES part (id) ON DELETE RESTRICT,
    bin       TEXT NOT NULL
              CHECK (length(bin) <= 64 AND bin NOT GLOB '*[' || char(1) || '-' || char(31) || char(127) || ']*'),
    donor     INTEGER REFERENCES donor (id) ON DELETE RESTRICT,
    condition TEXT NOT NULL CHECK (condition IN ('new', 'tested', 'untested', 'damaged')),
    note      TEXT NOT NULL CHECK (length(note) <= 1000),
    count     REAL NOT NULL CHECK (count BETWEEN 0 AND 1e6)
) STRICT;

CREATE INDEX lot_by_part ON lot (part);
CREATE INDEX lot_by_donor ON lot (donor);

CREATE TABLE reading (
    lot   INTEGER NOT NULL REFERENCES lot (id) ON DELETE RESTRICT,
    field TEXT NOT NULL CHECK (length(field) BETWEEN 1 AND 32 AND field NOT GLOB '*[^a-z0-9_]*'),
    value REAL NOT NULL CHECK (value BETWEEN -1e12 AND 1e12),
    error REAL NOT NULL CHECK (error BETWEEN 1e-6 AND 0.5),
    text  TEXT NOT NULL CHECK (length(text) <= 64),
    at    TEXT NOT NULL CHECK (at GLOB '[0-9][0-9][0-9][0-9]-[0-9][0-9]-[0-9][0-9]T[0-9][0-9]:[0-9][0-9]:[0-9][0-9]*Z'),
    PRIMARY KEY (lot, field)
) STRICT, WITHOUT ROWID;

-- The ledger: what a lot holds is the sum of its movements. Rows are only ever added.
CREATE TABLE movement (
    id     INTEGER PRIMARY KEY,
    lot    INTEGER NOT NULL REFERENCES lot (id) ON DELETE RESTRICT,
    delta  REAL NOT NULL CHECK (delta <> 0 AND delta BETWEEN -1e6 AND 1e6),
    reason TEXT NOT NULL CHECK (length(reason) <= 200),
    at     TEXT NOT NULL CHECK (at GLOB '[0-9][0-9][0-9][0-9]-[0-9][0-9]-[0-9][0-9]T[0-9][0-9]:[0-9][0-9]:[0-9][0-9]*Z'),
    batch  INTEGER NOT NULL CHECK (batch > 0)
) STRICT;

CREATE INDEX movement_by_lot ON movement (lot);

CREATE TRIGGER movement_stays BEFORE UPDATE ON movement
BEGIN
    SELECT RAISE(ABORT, 'the ledger is never rewritten');
END;

CREATE TRIGGER movement_is_kept BEFORE DELETE ON movement
BEGIN
    SELECT RAISE(ABORT, 'the ledger is never rewritten');
END;

CREATE TABLE set_aside (
    id      INTEGER PRIMARY KEY,
    lot     INTEGER NOT NULL REFERENCES lot (id) ON DELETE RESTRICT,
    count   REAL NOT NULL CHECK (count > 0 AND count <= 1e6),
    purpose TEXT NOT NULL
            CHECK (length(purpose) BETWEEN 1 AND 64
                   AND purpose NOT GLOB '*[' || char(1) || '-' || char(31) || char(127) || ']*'),
    at      TEXT NOT NULL CHECK (at GLOB '[0-9][0-9][0-9][0-9]-[0-9][0-9]-[0-9][0-9]T[0-9][0-9]:[0-9][0-9]:[0-9][0-9]*Z')
) STRICT;

CREATE INDEX set_aside_by_lot ON set_aside (lot);
CREATE INDEX set_aside_by_purpose ON set_aside (purpose);

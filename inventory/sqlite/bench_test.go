package sqlite

import (
	"context"
	"database/sql"
	"database/sql/driver"
	"fmt"
	"testing"

	"github.com/jmoiron/sqlx"
	sqlite3 "github.com/mattn/go-sqlite3"
	"github.com/stretchr/testify/require"

	"sparewright/catalog"
	"sparewright/catalog/si"
	"sparewright/inventory"
	"sparewright/inventory/sqlite/drawerfile"
)

// crowd is 10,000 lots of 10,000 different parts with four figures each and a reading on every
// tenth.
func crowd() []inventory.Lot {
	lots := make([]inventory.Lot, 10_000)
	for i := range lots {
		r := catalog.Resistor{Named: catalog.Named{Name: fmt.Sprintf("part %d", i)},
			Resistance: catalog.Of(si.Resistance(10 + i)),
			Tolerance:  catalog.Of(si.Ratio(0.01)),
			Rating:     catalog.Of(si.Power(0.25)), Type: "film"}
		lots[i] = lot(r, 20)
		lots[i].Donor = fmt.Sprintf("donor %d", i%50)
		if i%10 == 0 {
			lots[i].Measured = []inventory.Measurement{
				{Field: "resistance", Value: float64(10 + i), Error: 0.002, Text: "x"}}
		}
	}
	return lots
}

// counting is a connection that counts its queries.
type counting struct {
	*sqlite3.SQLiteConn
	queries *int
}

func (c counting) QueryContext(ctx context.Context, query string,
	args []driver.NamedValue) (driver.Rows, error) {
	*c.queries++
	return c.SQLiteConn.QueryContext(ctx, query, args)
}

// countingConnector opens counting connections.
type countingConnector struct {
	driver.Connector
	queries *int
}

func (c countingConnector) Connect(ctx context.Context) (driver.Conn, error) {
	conn, err := c.Connector.Connect(ctx)
	if err != nil {
		return nil, err
	}
	return counting{conn.(*sqlite3.SQLiteConn), c.queries}, nil
}

func TestSnapshotOfTenThousandTakesAFewQueries(t *testing.T) {
	s := fresh(t)
	_, err := s.Import(ctx, crowd(), false, noon)
	require.NoError(t, err)
	var queries int
	plain := drawerfile.Connector(s.file.Path, drawerfile.Reading)
	counted := &Store{file: &drawerfile.File{
		DB:   sqlx.NewDb(sql.OpenDB(countingConnector{plain, &queries}), "sqlite3"),
		Path: s.file.Path}}
	defer counted.Close()

	got, err := counted.Snapshot(ctx)
	require.NoError(t, err)
	require.Equal(t, 3, queries, "lots, parts with figures, readings")
	require.Len(t, got.Lots, 10_000)
	require.Len(t, got.Lots[9990].Measured, 1)
	require.Equal(t, "donor 49", got.Lots[9999].Donor)
	require.Equal(t, crowd()[4321].Part, got.Lots[4321].Part)
	sound(t, s)
}

func BenchmarkSnapshot10000(b *testing.B) {
	s := fresh(b)
	_, err := s.Import(ctx, crowd(), false, noon)
	require.NoError(b, err)
	for b.Loop() {
		if _, err := s.Snapshot(ctx); err != nil {
			b.Fatal(err)
		}
	}
}

// plainly is a connection to the same file with the same settings and nothing of ours around the
// driver.
func plainly(b *testing.B, s *Store, how drawerfile.Access) *sql.DB {
	db := sql.OpenDB(drawerfile.Connector(s.file.Path, how))
	db.SetMaxOpenConns(1)
	b.Cleanup(func() { db.Close() })
	return db
}

// BenchmarkSnapshot10000Plain is the floor of BenchmarkSnapshot10000: the same rows read with the
// plain driver into variables.
func BenchmarkSnapshot10000Plain(b *testing.B) {
	s := fresh(b)
	_, err := s.Import(ctx, crowd(), false, noon)
	require.NoError(b, err)
	db := plainly(b, s, drawerfile.Reading)
	for b.Loop() {
		rows := 0
		for query, columns := range map[string]int{
			"SELECT id, part, bin, donor, condition, note, count FROM lot ORDER BY id": 7,
			"SELECT p.id, p.kind, p.designation, f.field, f.value, f.text, f.basis FROM part p " +
				"LEFT JOIN figure f ON f.part = p.id ORDER BY p.id": 7,
			"SELECT lot, field, value, error, text, at FROM reading ORDER BY lot, field": 6} {
			found, err := db.Query(query)
			require.NoError(b, err)
			values := make([]any, columns)
			into := make([]any, columns)
			for i := range values {
				into[i] = &values[i]
			}
			for found.Next() {
				if err := found.Scan(into...); err != nil {
					b.Fatal(err)
				}
				rows++
			}
			require.NoError(b, found.Close())
		}
		if rows < 30_000 {
			b.Fatal(rows)
		}
	}
}

// BenchmarkTake takes one part out of a lot; its floor is the same count and ledger row written
// with the plain driver in one immediate transaction. Both wait for the disk.
func BenchmarkTake(b *testing.B) {
	s := fresh(b)
	ids, err := s.Put(ctx, []inventory.Lot{lot(crowd()[0].Part, 1e6)}, "", noon)
	require.NoError(b, err)
	b.Run("ours", func(b *testing.B) {
		for b.Loop() {
			if _, err := s.Take(ctx, ids[0], 1, "", noon); err != nil {
				b.Fatal(err)
			}
		}
	})
	db := plainly(b, s, drawerfile.Writing)
	b.Run("plain", func(b *testing.B) {
		for b.Loop() {
			tx, err := db.Begin()
			require.NoError(b, err)
			var count float64
			require.NoError(b, tx.QueryRow("SELECT count FROM lot WHERE id = ?",
				ids[0]).Scan(&count))
			_, err = tx.Exec("INSERT INTO movement (lot, delta, reason, at, batch) VALUES (?, "+
				"-1, '', ?, 1)", ids[0], writeTime(noon))
			require.NoError(b, err)
			_, err = tx.Exec("UPDATE lot SET count = ? WHERE id = ?", count-1, ids[0])
			require.NoError(b, err)
			require.NoError(b, tx.Commit())
		}
	})
}

// BenchmarkPut puts one more of a known part into its lot; the floor is the same as that of
// BenchmarkTake.
func BenchmarkPut(b *testing.B) {
	s := fresh(b)
	l := lot(crowd()[0].Part, 1)
	for b.Loop() {
		if _, err := s.Put(ctx, []inventory.Lot{l}, "", noon); err != nil {
			b.Fatal(err)
		}
	}
}

// BenchmarkHistory beside BenchmarkList, both over 10,000 lots put in by one import: history reads
// every one of its rows.
func BenchmarkHistory(b *testing.B) {
	s := tenThousand(b)
	for b.Loop() {
		if past, lots, err := s.History(ctx, 20); err != nil || len(past) != 1 ||
			len(lots) != 10_000 {
			b.Fatal(err, len(past), len(lots))
		}
	}
}

func BenchmarkList(b *testing.B) {
	s := tenThousand(b)
	for b.Loop() {
		if d, err := s.Snapshot(ctx); err != nil || len(d.Lots) != 10_000 {
			b.Fatal(err)
		}
	}
}

func BenchmarkCheck(b *testing.B) {
	s := tenThousand(b)
	for b.Loop() {
		if r, err := s.Check(ctx); err != nil || !r.OK() {
			b.Fatal(err, r.Problems)
		}
	}
}

func tenThousand(b *testing.B) *Store {
	b.Helper()
	s := fresh(b)
	lots := make([]inventory.Lot, 10_000)
	for i := range lots {
		lots[i] = lot(resistor(float64(i+1)), 2)
	}
	if _, err := s.Import(ctx, lots, false, noon); err != nil {
		b.Fatal(err)
	}
	return s
}

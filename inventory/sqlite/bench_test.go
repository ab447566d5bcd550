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
)

// crowd is 10,000 lots of 10,000 different parts with four figures each and a reading on every tenth.
func crowd() []inventory.Lot {
	lots := make([]inventory.Lot, 10_000)
	for i := range lots {
		r := catalog.Resistor{Named: catalog.Named{Name: fmt.Sprintf("part %d", i)}, Resistance: catalog.Of(si.Resistance(10 + i)),
			Tolerance: catalog.Of(si.Ratio(0.01)), Rating: catalog.Of(si.Power(0.25)), Type: "film"}
		lots[i] = lot(r, 20)
		lots[i].Donor = fmt.Sprintf("donor %d", i%50)
		if i%10 == 0 {
			lots[i].Measured = []inventory.Measurement{{Field: "resistance", Value: float64(10 + i), Error: 0.002, Text: "x"}}
		}
	}
	return lots
}

// counting is a connection that counts its queries.
type counting struct {
	*sqlite3.SQLiteConn
	queries *int
}

func (c counting) QueryContext(ctx context.Context, query string, args []driver.NamedValue) (driver.Rows, error) {
	*c.queries++
	return c.SQLiteConn.QueryContext(ctx, query, args)
}

// countingConnector opens counting connections.
type countingConnector struct {
	connector
	queries *int
}

func (c countingConnector) Connect(ctx context.Context) (driver.Conn, error) {
	conn, err := c.connector.Connect(ctx)
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
	plain := connector{&sqlite3.SQLiteDriver{ConnectHook: tune}, dataSource(s.path, reading)}
	counted := &Store{db: sqlx.NewDb(sql.OpenDB(countingConnector{plain, &queries}), "sqlite3"), path: s.path}
	defer counted.db.Close()

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

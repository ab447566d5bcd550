package sqlite

import (
	"bytes"
	"encoding/hex"
	"math/rand/v2"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"

	"sparewright/inventory"
	"sparewright/inventory/sqlite/disk"
)

// eachDamage is how many files of each sort are damaged.
func eachDamage() int {
	if long() {
		return 500
	}
	return 150
}

// damageTo writes a damaged copy of a drawer, does with it whatever the program could, and tells
// whether the damage was found. What only reads leaves the file as it is, and so does a writer that
// refuses it. A panic or a hang ends the test program.
func damageTo(t *testing.T, path string, content []byte) (found bool) {
	t.Helper()
	require.NoError(t, os.WriteFile(path, content, 0o600))
	before := printOf(t, path)
	r, err := Examine(ctx, path)
	found = err != nil || !r.OK()
	if ro, err := Open(ctx, path, ReadOnly); err == nil {
		_, _ = ro.Snapshot(ctx)
		_, _ = ro.Movements(ctx, 1)
		_, _ = ro.SetAsides(ctx, "")
		_, _ = ro.Donors(ctx)
		_, _ = ro.Preview(ctx, []inventory.Lot{lot(resistor(10), 1)}, true)
		require.NoError(t, ro.Close())
	}
	require.Equal(t, before, printOf(t, path), "reading changed the file")
	rw, err := Open(ctx, path, ReadWrite)
	if err != nil {
		require.Equal(t, before, printOf(t, path), "refused and changed")
		return true
	}
	_, _ = rw.Put(ctx, []inventory.Lot{lot(resistor(10), 1)}, "", noon)
	require.NoError(t, rw.Close())
	return found
}

// Pages overwritten and files cut short are always found: every page of these files is in use. A
// single flipped bit may pass (it may turn one valid figure into another); SQLite's check is no
// checksum.
func TestDamageIsFound(t *testing.T) {
	t.Parallel()
	random := rand.New(rand.NewPCG(5, 6))
	whole, err := os.ReadFile(filled(t))
	require.NoError(t, err)
	path := filepath.Join(t.TempDir(), "damaged.db")
	flipsFound := 0
	for range eachDamage() {
		b := bytes.Clone(whole)
		page := b[4096*random.IntN(len(b)/4096):][:4096]
		for i := range page {
			page[i] = byte(random.Uint32())
		}
		require.True(t, damageTo(t, path, b), "overwritten page")

		require.True(t, damageTo(t, path, whole[:random.IntN(len(whole))]), "cut short")

		b = bytes.Clone(whole)
		b[random.IntN(len(b))] ^= 1 << random.IntN(8)
		if damageTo(t, path, b) {
			flipsFound++
		}
	}
	t.Logf("CASES %s: %d pages, %d cuts, %d flips of which %d were found without a checksum",
		t.Name(), eachDamage(), eachDamage(),
		eachDamage(), flipsFound)
}

// Beside a backup lies its checksum: no flipped bit passes.
func TestFlippedBackupsAreRefused(t *testing.T) {
	random := rand.New(rand.NewPCG(7, 8))
	s, copied := backedUp(t)
	whole, err := os.ReadFile(copied)
	require.NoError(t, err)
	before := printOf(t, s.file.Path)
	for range eachDamage() {
		b := bytes.Clone(whole)
		b[random.IntN(len(b))] ^= 1 << random.IntN(8)
		require.NoError(t, os.WriteFile(copied, b, 0o600))
		_, err := Restore(ctx, copied, s.file.Path, noon)
		refused(t, err, "")
		require.Equal(t, before, printOf(t, s.file.Path))
	}
	require.NoError(t, os.WriteFile(copied, whole, 0o600))
	done, err := Restore(ctx, copied, s.file.Path, noon)
	require.NoError(t, err)
	require.True(t, done.Summed)
}

// The checksum is SHA-256 in the form sha256sum reads. Expected: FIPS 180-4's example, SHA-256 of
// "abc".
func TestSumOf(t *testing.T) {
	path := textFile(t, "abc")
	sum, err := disk.SumOf(path)
	require.NoError(t, err)
	require.Equal(t, "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad", sum)
	require.NoError(t, disk.WriteSum(path, sum))
	raw, err := os.ReadFile(path + disk.SumSuffix)
	require.NoError(t, err)
	require.Equal(t, sum+"  text.db\n", string(raw))
	back, err := disk.ReadSum(path)
	require.NoError(t, err)
	require.Equal(t, sum, back)
	for _, bad := range []string{"", "xyz  text.db", sum[:62] + "  text.db",
		hex.EncodeToString([]byte("short"))} {
		require.NoError(t, os.WriteFile(path+disk.SumSuffix, []byte(bad), 0o600))
		_, err := disk.ReadSum(path)
		require.Error(t, err, bad)
	}
	_, err = disk.SumOf(filepath.Join(t.TempDir(), "none"))
	require.ErrorIs(t, err, os.ErrNotExist)
}

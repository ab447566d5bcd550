package exchange_test

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"sparewright/inventory"
	"sparewright/inventory/exchange"
)

func TestReadPrices(t *testing.T) {
	list, faults := exchange.ReadPrices(
		strings.NewReader("\ufeffprice,Designation,source,minimum,postage\r\n"+
			"0.35,SB5100,north,,3.5\r\n12,\"ETD34/17/11  "+
			"N87\",,,\r\n0.0001,*,South,10,\r\n,,north,1.25,3.50\r\n\r\n999999.9999,x,,,\r\n"),
		"p.csv")
	require.Empty(t, faults)
	require.Equal(t, inventory.PriceList{
		Prices: []inventory.Price{{Designation: "SB5100", Each: 3500, Source: "north"},
			{Designation: "ETD34/17/11  N87", Each: 120000},
			{Designation: "*", Each: 1, Source: "South"}, {Designation: "x", Each: 9_999_999_999}},
		Terms: []inventory.Terms{{Source: "north", Postage: 35000, Minimum: 12500},
			{Source: "South", Minimum: 100000}},
	}, list)
	require.InDelta(t, 0.35, inventory.Money(3500).Float(), 0)
}

func TestReadPricesNamesLineAndColumn(t *testing.T) {
	for _, row := range []struct{ text, want string }{
		{"", `p.csv:1:1: file "p.csv": empty; the first line names the columns`},
		{"designation;preis\n", `p.csv:1:1: column "price": missing; name it in the first line`},
		{"designation;price\nx;1,200\n", `p.csv:2:3: price "1,200": the point is the decimal sign; write 0.35, and large numbers without separators`},
		{"designation,cost\n", `p.csv:1:1: column "price": missing; name it in the first line`},
		{"designation,price\nx,1,2\n", `p.csv:2:1: row: 3 fields, the header has 2; check quotes and commas`},
		{"designation,price\nSB560,0.3\nSB5100,-1\n", `p.csv:3:8: price "-1": is below 0; write what it costs`},
		{"designation,price\nSB5100,\n", `p.csv:2:8: price "": missing; write a number such as 0.35`},
		{"designation,price\nSB5100,\"0,35\"\n", `p.csv:2:8: price "0,35": the point is the decimal sign; write 0.35, and large numbers without separators`},
		{"designation,price\nSB5100,$3\n", `p.csv:2:8: price "$3": not a plain number; write digits and a point, without a currency, such as 0.35`},
		{"designation,price\nSB5100,1e3\n", `p.csv:2:8: price "1e3": not a plain number; write digits and a point, without a currency, such as 0.35`},
		{"designation,price\nSB5100,NaN\n", `p.csv:2:8: price "NaN": not a plain number; write digits and a point, without a currency, such as 0.35`},
		{"designation,price\nSB5100,.5\n", `p.csv:2:8: price ".5": not a plain number; write digits and a point, without a currency, such as 0.35`},
		{"designation,price\nSB5100,1.00001\n", `p.csv:2:8: price "1.00001": more than four digits behind the point; round it`},
		{"designation,price\nSB5100,1000001\n", `p.csv:2:8: price "1000001": above 1000000; check the number`},
		{"designation,price\nSB5100,99999999\n", `p.csv:2:8: price "99999999": above 1000000; check the number`},
		{"designation,price\n,1\n", `p.csv:2:1: designation "": missing; name the part as the shopping list does, or * for every other part`},
		{"designation,price\nSB5100,1\nsb5100,2\n", `p.csv:3:1: designation "sb5100": priced twice at the same source; keep one row`},
		{"designation,price,postage\nSB5100,1,2\n", `p.csv:2:1: source "": missing; postage belongs to a source, name it`},
		{"designation,price,source,postage\na,1,s,2\nb,1,S,3\n", `p.csv:3:7: postage "3": another figure stands above for source "S"; keep one`},
		{"designation,price\nSB\x005100,1\n", `p.csv:2:3: byte "0x00": not UTF-8 text; save the file as UTF-8`},
	} {
		_, faults := exchange.ReadPrices(strings.NewReader(row.text), "p.csv")
		require.NotEmpty(t, faults, "%q", row.text)
		texts := []string{}
		for _, f := range faults {
			texts = append(texts, f.Error())
		}
		require.Contains(t, texts, row.want, "%q", row.text)
	}
}

// FuzzReadPrices: whatever is in the file, no panic, and a list without faults holds amounts in
// range only.
func FuzzReadPrices(f *testing.F) {
	f.Add("designation,price,source,postage,minimum\nx,1,s,2,3\n")
	f.Fuzz(func(t *testing.T, text string) {
		list, faults := exchange.ReadPrices(strings.NewReader(text), "f")
		if len(faults) > 0 {
			return
		}
		for _, p := range list.Prices {
			if p.Each < 0 || p.Each > 1_000_000*inventory.MoneyUnit || p.Designation == "" {
				t.Fatalf("%+v", p)
			}
		}
	})
}

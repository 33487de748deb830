package sheet_test

import (
	"testing"

	"github.com/google/go-cmp/cmp"

	"keyon/format/page"
	"keyon/format/sheet"
)

func TestFromTable(t *testing.T) {
	tab := sheet.FromTable("cut", "Reel", page.Table{
		Columns: []page.Column{{Head: "Wire"}, {Head: "Length", Unit: "mm", Align: page.Decimal}, {Head: "Pin", Align: page.ToRight}, {Head: "OK"}},
		Rows: []page.Row{
			{Kind: page.GroupHead, Cells: []string{"Reel 1"}},
			{Cells: []string{"12", "400.5", "7", page.TickBox, "surplus"}},
			{Cells: []string{"F2", "−0.5", "07"}},
			{Cells: []string{"F3", "about 4", "A"}},
			{Kind: page.Total, Cells: []string{"3 wires", "804"}},
		}})
	b, err := sheet.Write(sheet.Book{Tabs: []sheet.Tab{tab}})
	if err != nil {
		t.Fatal(err)
	}
	got, _ := cells(t, b)
	want := map[string]string{
		"A1": "text:Reel", "B1": "text:Wire", "C1": "text:Length (mm)", "D1": "text:Pin", "E1": "text:OK",
		"A2": "text:Reel 1", "B2": "text:12", "C2": "number:400.5", "D2": "number:7",
		"A3": "text:Reel 1", "B3": "text:F2", "C3": "number:-0.5", "D3": "text:07",
		"A4": "text:Reel 1", "B4": "text:F3", "C4": "text:about 4", "D4": "text:A",
	}
	if d := cmp.Diff(want, got); d != "" {
		t.Errorf("cells (-want +got):\n%s", d)
	}
}

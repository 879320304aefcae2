package invented_test

import (
	"bytes"
	"fmt"
	"os"
	"strings"
	"testing"

	"fettlebook/journal"
	"fettlebook/journal/facts"
	"fettlebook/journal/invented"
	"fettlebook/journal/parts"
)

// folded is the parts table that the entries of a plan come to.
func folded(t *testing.T, p *invented.Plan) *parts.Table {
	t.Helper()
	shop := book(t, p).Shop()
	stock := facts.StockOf(shop)
	var rows []parts.Row
	for _, j := range p.Jobs {
		rows = append(rows, stock.Coats(shop.Job(j.ID))...)
	}
	return parts.New(rows...)
}

func csv(t *testing.T, table *parts.Table) []string {
	t.Helper()
	var out bytes.Buffer
	if err := table.WriteCSV(&out, true); err != nil {
		t.Fatal(err)
	}
	return strings.Split(out.String(), "\n")
}

// A plan and the entries that are written of it come to the same table, byte
// for byte.
func TestTheJournalSaysWhatWasPlanned(t *testing.T) {
	for _, set := range settings() {
		t.Run(fmt.Sprintf("%d parts, seed %d, %s", set.Parts, set.Seed, set.Cause), func(t *testing.T) {
			p := invented.Make(set)
			got, want := csv(t, folded(t, p)), csv(t, p.Table())
			if len(got) != len(want) {
				t.Fatalf("the journal gives %d lines, the plan %d", len(got), len(want))
			}
			head := strings.Split(want[0], ",")
			for i := range want {
				if got[i] == want[i] {
					continue
				}
				g, w := strings.Split(got[i], ","), strings.Split(want[i], ",")
				for k := range min(len(g), len(w)) {
					if g[k] != w[k] {
						t.Errorf("line %d, %s: the journal says %q, the plan %q", i, head[k], g[k], w[k])
					}
				}
				if t.Failed() {
					t.Fatalf("line %d is\n%s\nwant\n%s", i, got[i], want[i])
				}
			}
		})
	}
}

// settings are three small shops of different causes; those of the README's
// table, three of each size, where the environment asks for all of them.
func settings() []invented.Setting {
	if os.Getenv("FETTLEBOOK_INVENTED") == "all" {
		return settingsOf(300, 1000, 5000)
	}
	return settingsOf(small)
}

// small is a shop that wears no wrench out.
const small = 150

func settingsOf(sizes ...int) (list []invented.Setting) {
	for _, size := range sizes {
		for seed, cause := range []invented.Cause{invented.OneLot, invented.CoolSoak, invented.OneDay} {
			list = append(list, invented.Setting{Seed: uint64(seed), Parts: size, Cause: cause, Mixed: true, Revised: 200 * seed})
		}
	}
	return list
}

// What is hardest to say the same of twice does happen: parts that are stripped
// and coated again, castings that come back, and defects that show late.
func TestWhatHappens(t *testing.T) {
	stripped, back, late := 0, 0, 0
	for _, set := range settings() {
		lives := make(map[string]journal.JobID)
		for _, j := range invented.Make(set).Jobs {
			for _, c := range j.Coats {
				if was, ok := lives[c.Casting]; ok && was != j.ID {
					back++
				}
				lives[c.Casting] = j.ID
				if c.Stripped {
					stripped++
				}
				if c.LateDays > 0 {
					late++
				}
			}
		}
	}
	if stripped == 0 || back == 0 || late == 0 {
		t.Errorf("%d parts were stripped, %d castings came back, %d defects showed late", stripped, back, late)
	}
	t.Logf("%d parts were stripped, %d castings came back, %d defects showed late", stripped, back, late)
}

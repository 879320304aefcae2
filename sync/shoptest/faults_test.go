package shoptest_test

import (
	"go/ast"
	"go/parser"
	"go/token"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"
)

// fault is a row of the table of what may break: what breaks, where, what has to be so
// after it, and the test that shows it.
type fault struct{ breaks, where, so, folder, test string }

const (
	once   = "all that was acknowledged is here once, nothing by half"
	heals  = "refused with a reason, nothing lost, goes on when there is room"
	told   = "found and named; what was changed is taken for nothing"
	settle = "all arrive once, in their order, countersigned"
)

var faults = []fault{
	{"killed at any instant", "append to a log", once, "journal/sqlitelog", "TestKill"},
	{"killed again and again", "hub and tablets while entries travel", once, "cmd/internal/demo", "TestKills"},
	{"killed at any instant", "the index", "goes on from its mark to the same index", "journal/index", "TestKilled"},
	{"killed before the answer", "a witness", "signs no second history", "sync/witness", "TestKilledBeforeTheAnswer"},
	{"killed between two pieces", "an original on its way", "goes on with what is missing", "media/photodir", "TestPiecesSurviveRestarts"},
	{"the nth operation fails, kept or not", "append, receive, receive several, countersign, card", once, "journal/sqlitelog", "TestEveryOperationFails"},
	{"the commit fails, kept or not", "the same", once, "journal/sqlitelog", "TestCommitFails"},
	{"each step fails, kept or not", "the hub’s intake: commit, commit together, stream, countersign", once, "sync/hub", "TestEveryStepOfTheIntakeFails"},
	{"the stream fails, kept or not", "the hub’s own log", once, "sync/hub", "TestWrittenAndNotInTheStream"},
	{"each step fails, kept or not", "a tablet’s sync: entries in and out, countersignatures, originals", settle, "sync/uplink", "TestEveryStepOfTheTabletFails"},
	{"each step fails, kept or not, or is the last", "an original on its way to the hub", "what was acknowledged is there, the rest is asked for again", "sync/hub", "TestEveryStepOfAnOriginalFails"},
	{"each step fails, kept or not, or is the last", "originals moved or archived", "none is lost, and asked again it ends", "cmd/internal/folder", "TestCarriedOffAtAnyStep"},
	{"the disk fails", "an original put together", "its pieces wait", "media/photodir", "TestFinishWithABrokenDisk"},
	{"each operation fails", "a file written durably", "old or new, never half", "media/durable", "TestWriteFileFaults"},
	{"power fails in the write-ahead log", "a log", once, "journal/sqlitelog", "TestPowerLoss"},
	{"full", "a log's disk", heals, "journal/sqlitelog", "TestFullDisk"},
	{"full", "the message store's disk", heals, "sync/broker", "TestAFullDisk"},
	{"full", "the hub’s disk", heals, "sync/shoptest", "TestAFullDiskAtTheHub"},
	{"full", "originals", heals, "media", "TestNoRoom"},
	{"full", "a dossier", "no half file, the old one stays", "journal/dossier", "TestFullDisk"},
	{"read-only", "a data folder’s disk", heals, "cmd/fettlebook", "TestADiskThatIsReadOnly"},
	{"pages of garbage", "a log", told, "journal/sqlitelog", "TestDamagedPages"},
	{"bits flip, tails are cut", "the message store", "the database has all; the tablets bring the rest", "sync/hub", "TestADamagedStream"},
	{"every class of change", "databases and originals", told, "journal/audit", "TestTamperingMatrix"},
	{"every bit, every cut", "a photograph on its way in", told, "media", "TestReceiveRefusesEveryCut"},
	{"a piece is cut", "an original on its way", "asked for again", "media/photodir", "TestMissingNamesACutPiece"},
	{"garbage", "the index", "made anew", "journal/index", "TestDamagedWhileOpen"},
	{"bits flip", "a backup", told, "cmd/internal/backup", "TestADamagedSetIsRefused"},
	{"lost", "the message store", settle, "sync/shoptest", "TestTheBrokersStoreIsLost"},
	{"lost", "the hub’s database", settle, "sync/shoptest", "TestTheHubsDatabaseIsLost"},
	{"lost", "both", settle, "sync/shoptest", "TestStreamAndDatabaseAreLost"},
	{"put back from an older copy", "the hub", settle, "sync/shoptest", "TestARestoredHubGetsAllBack"},
	{"lost", "the hub’s disk, all but a backup and an older message store", "the same records, byte for byte; what nobody holds is named", "cmd/fettlebook", "TestScripts/rebuilt"},
	{"put back from an older copy", "a tablet", "writes nothing more, takes its entries back", "sync/shoptest", "TestARolledBackTabletTakesItsEntriesBack"},
	{"cut off before each step", "a change of the hub’s keys", "the old keys or the new ones, whole", "cmd/internal/folder", "TestAChangeOfKeysIsCutOff"},
	{"stolen with its keys", "the hub", "what the old keys sign after their change counts for nothing", "sync/shoptest", "TestTheHubsKeysAreChanged"},
	{"stolen with its keys", "the hub, met by a tablet that was away", settle, "sync/shoptest", "TestAThiefsHubAndATabletThatWasAway"},
	{"lost with its keys and every backup", "the hub", "goes on for each tablet at which somebody agreed", "sync/shoptest", "TestEachTabletAgreesToKeysThatNobodySigned"},
	{"dropped, doubled, delayed, reordered", "the line", settle, "sync/shoptest", "TestBadLines"},
	{"cut at each question", "the line", settle, "sync/uplink", "TestCutLines"},
	{"cut among several under way", "the line", settle, "sync/uplink", "TestSegmentsUnderWay"},
	{"cut after each piece", "originals on the line", "goes on with what is missing", "sync/uplink", "TestLane"},
	{"one after the other, drawn", "a series of all these", settle, "sync/shoptest", "TestASeriesOfMishaps"},
	{"1970 and 2099", "clocks of tablets and hub", settle, "sync/shoptest", "TestWildClocks"},
	{"a month away", "10 000 entries, 1 000 photographs", "a fourth of each budget at most", "sync/shoptest", "TestBackFromAMonthAway"},
}

// The table names a test for each fault, every one of them is there, and the README has
// the same table. With FETTLEBOOK_FAULTS=all each is run, and its verdict printed.
func TestFaultMatrix(t *testing.T) {
	root, err := filepath.Abs("../..")
	if err != nil {
		t.Fatal(err)
	}
	readme, err := os.ReadFile(filepath.Join(root, "README.md"))
	if err != nil {
		t.Fatal(err)
	}
	for _, f := range faults {
		name, _, _ := strings.Cut(f.test, "/")
		if !hasTest(t, filepath.Join(root, f.folder), name) {
			t.Errorf("there is no test %s in %s", f.test, f.folder)
			continue
		}
		row := "| " + strings.Join([]string{f.breaks, f.where, f.so, "`" + f.folder + "` " + f.test}, " | ") + " |"
		if !strings.Contains(string(readme), row) {
			t.Errorf("the README lacks the row\n%s", row)
		}
		verdict := "not run"
		if os.Getenv("FETTLEBOOK_FAULTS") == "all" {
			began := time.Now()
			cmd := exec.CommandContext(t.Context(), "go", "test", "-count=1", "./"+f.folder, "-run", "^"+f.test+"$")
			cmd.Dir = root
			out, err := cmd.CombinedOutput()
			if verdict = "ok " + time.Since(began).Round(time.Second).String(); err != nil || strings.Contains(string(out), "no tests to run") {
				verdict = "FAILED"
				t.Errorf("%s in %s: %v\n%s", f.test, f.folder, err, out)
			}
		}
		t.Logf("%-38s %-62s %-40s %s", f.breaks, f.where, f.test, verdict)
	}
}

// hasTest reports whether a folder has a test.
func hasTest(t *testing.T, folder, name string) bool {
	t.Helper()
	files, err := filepath.Glob(filepath.Join(folder, "*_test.go"))
	if err != nil {
		t.Fatal(err)
	}
	for _, path := range files {
		file, err := parser.ParseFile(token.NewFileSet(), path, nil, parser.SkipObjectResolution)
		if err != nil {
			t.Fatal(err)
		}
		for _, d := range file.Decls {
			if f, ok := d.(*ast.FuncDecl); ok && f.Recv == nil && f.Name.Name == name {
				return true
			}
		}
	}
	return false
}

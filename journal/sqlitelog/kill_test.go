package sqlitelog_test

import (
	"bufio"
	"context"
	"crypto/rand"
	"fmt"
	mathrand "math/rand/v2"
	"os"
	"os/exec"
	"sync"
	"testing"
	"time"

	"fettlebook/journal"
	"fettlebook/journal/journaltest"
	"fettlebook/journal/proof"
	"fettlebook/journal/sqlitelog"
)

// victimPath names the database to the process that is killed.
const victimPath = "FETTLEBOOK_TEST_VICTIM"

// victim appends as fast as it can, alone and in company, and prints the id
// of each entry once Append has returned.
func victim(path string) int {
	fmt.Println("begin")
	key, err := proof.NewKey(journaltest.Rand(string(journaltest.Bench)), proof.Origin(journaltest.Shop, journaltest.Bench))
	if err != nil {
		return complain(err)
	}
	db, err := sqlitelog.Open(context.Background(), path, sqlitelog.Options{
		Shop: journaltest.Shop, Own: journaltest.Bench, Key: key, Boot: "b1",
		Clock: journal.NewClock(time.Now, rand.Reader), Now: time.Now, Started: time.Now(),
	})
	if err != nil {
		return complain(err)
	}
	fmt.Println("open")
	var wg sync.WaitGroup
	for w := range 4 {
		wg.Go(func() {
			for n := 0; ; n++ {
				d := notef("remark %d of writer %d", n, w)
				if n%5 == w {
					d = picture(fmt.Sprintf("%d %d %d", os.Getpid(), w, n), 20_000)
				}
				e, err := db.Append(context.Background(), d)
				if err != nil {
					os.Exit(complain(err))
				}
				fmt.Println(e.ID) // one system call: whole or not at all
			}
		})
	}
	wg.Wait()
	return 0
}

func complain(err error) int {
	fmt.Fprintln(os.Stderr, err)
	return 1
}

// A process that is killed at any instant has lost no entry that it called
// written, and what it leaves is whole.
func TestKill(t *testing.T) {
	rounds := journaltest.Times(12, 60)
	const perLog = 12 // rounds that go on with one log
	var r *rig
	var acknowledged []string
	random := mathrand.New(mathrand.NewPCG(1, 2))
	for round := range rounds {
		if round%perLog == 0 {
			r, acknowledged = newRig(t, journaltest.Bench), nil
		}
		acknowledged = append(acknowledged, killAfter(t, r.path, random.IntN(60)-round%3)...)
		db := r.open(t)
		here := map[string]bool{}
		for _, e := range r.check(t) {
			here[e.ID.String()] = true
		}
		for i, id := range acknowledged {
			if !here[id] {
				t.Fatalf("round %d: entry %s, the %dth of %d acknowledged, is lost", round, id, i+1, len(acknowledged))
			}
		}
		acknowledged = append(acknowledged, appendTo(t, db, notef("after round %d", round))[0].ID.String())
		if n := len(r.check(t)); n != len(here)+1 {
			t.Fatalf("round %d: %d entries after one more than %d", round, n, len(here))
		}
		closeDB(t, db)
	}
	if len(acknowledged) < perLog {
		t.Fatalf("only %d entries were acknowledged; the kills came too early to mean anything", len(acknowledged))
	}
}

// killAfter runs the victim until it has acknowledged so many entries, kills
// it while it writes on, and returns all that it acknowledged. With less than
// none it is killed while it opens the log.
func killAfter(t *testing.T, path string, entries int) []string {
	t.Helper()
	cmd := exec.CommandContext(t.Context(), os.Args[0])
	cmd.Env = append(os.Environ(), victimPath+"="+path)
	cmd.Stderr = os.Stderr
	out, err := cmd.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	if err := cmd.Start(); err != nil {
		t.Fatal(err)
	}
	var ids []string
	lines := bufio.NewScanner(out)
	for n := -1; lines.Scan(); n++ { // two lines say that it begins and that the log is open
		if n > 0 {
			ids = append(ids, lines.Text())
		}
		if n == max(entries, -1) {
			if err := cmd.Process.Kill(); err != nil {
				t.Fatal(err)
			}
		}
	}
	if err := cmd.Wait(); err == nil || cmd.ProcessState.Exited() {
		t.Fatalf("the victim ended by itself: %v", err)
	}
	return ids
}

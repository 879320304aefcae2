package audit

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"strings"
	"time"

	"fettlebook/journal"
	"fettlebook/journal/proof"
	"fettlebook/media"

	"golang.org/x/mod/sumdb/note"
)

// Run checks everything that the sources give. What is wrong with them is in
// the report; an error comes only when ctx ends, with what was found so far.
//
// Progress, if not nil, is told how many entries and originals are done, of
// how many. It may run beside a program that writes the folder.
//
// Entries and pictures pass through one by one. What stays in memory is the
// ids and hashes of entries, and the hashes of photos.
func Run(ctx context.Context, s Sources, progress func(done, total int)) (Report, error) {
	a := &audit{
		Sources: s, tell: progress,
		report:   Report{Format: "fettlebook audit 1", Findings: []Finding{}},
		ids:      map[journal.EntryID]bool{},
		guarded:  map[journal.EntryID]bool{},
		enrolled: map[journal.DeviceID]string{},
		states:   map[int64]state{},
		receipts: map[int64]bool{},
		register: Register{Keys: map[journal.DeviceID]string{}, Devices: map[journal.DeviceID]journal.Device{}, Revoked: map[journal.DeviceID]bool{}},
		photos:   map[media.Ref]*photo{},
		thumbs:   map[media.Ref]*thumbUse{},
		cards:    map[journal.CardID]*card{},
		leaves:   map[journal.DeviceID][]leaves{},
	}
	for _, check := range []func(context.Context) error{
		a.checkStore, a.checkLogs, a.checkThumbs, a.checkNotes, a.checkOriginals, a.checkCards, a.checkQuarantine, a.checkFiles,
	} {
		if err := errors.Join(check(ctx), ctx.Err()); err != nil {
			return a.report, fmt.Errorf("audit: %w", err)
		}
	}
	return a.report, nil
}

// audit is one run.
type audit struct {
	Sources
	report      Report
	tell        func(done, total int)
	done, total int

	cosigner note.Verifier // nil if the hub's countersigning key cannot be read
	keys     proof.Succession
	present  map[journal.DeviceID]bool
	hubSize  int64
	hubTimes []time.Time    // of the hub's entries, by its own clock
	receipts map[int64]bool // sizes of the hub's log of which its countersignature is here

	// What entries say.
	ids         map[journal.EntryID]bool    // those that are here, and whether they count
	guarded     map[journal.EntryID]bool    // those that only the hub may correct
	enrolled    map[journal.DeviceID]string // keys by the register
	register    Register
	states      map[int64]state // of the hub's log, by size
	forks       []fork
	corrections []correction
	seals       []sealed
	leaves      map[journal.DeviceID][]leaves // the hashes of the entries of each log
	photos      map[media.Ref]*photo          // by original
	thumbs      map[media.Ref]*thumbUse
	cards       map[journal.CardID]*card

	files      []media.Ref // the originals that lie here
	filesError error       // why the list of them ends early
}

func (a *audit) damage(w Where, what, do string) int {
	return a.report.add(Finding{Damage, w, what, do})
}

func (a *audit) remark(w Where, what, do string) int {
	return a.report.add(Finding{Remark, w, what, do})
}

// owns reports whether this machine writes, or wrote, the log.
func (a *audit) owns(d journal.DeviceID) bool { return slices.Contains(a.Own, d) }

// here picks damage for what this machine must have, and a remark for what
// may still be on its way.
func here(must bool) Severity {
	if must {
		return Damage
	}
	return Remark
}

func (a *audit) step() {
	a.done++
	a.total = max(a.total, a.done)
	if a.tell != nil {
		a.tell(a.done, a.total)
	}
}

func (a *audit) checkFiles(ctx context.Context) error {
	if a.Files != nil {
		a.report.Findings = append(a.report.Findings, a.Files.Inspect(ctx, a.register)...)
	}
	return nil
}

func (a *audit) checkStore(ctx context.Context) error {
	wrong, err := a.Store.Integrity(ctx)
	for _, sentence := range wrong {
		a.damage(Where{Part: Database}, "It is not in order: "+sentence+".", doDatabase)
	}
	return err
}

// checkLogs checks the hub's log first: it names the keys of all others.
func (a *audit) checkLogs(ctx context.Context) error {
	a.listOriginals(ctx)
	logs, complete := a.listLogs(ctx)
	a.openCosigner()
	for _, l := range logs {
		if err := a.checkLog(ctx, l); err != nil {
			return err
		}
	}
	if complete {
		a.checkAbsent()
	}
	a.checkForks(logs)
	a.checkCorrections()
	a.checkSeals()
	return nil
}

// listLogs lists the logs in the order of the report, and whether these are
// all.
func (a *audit) listLogs(ctx context.Context) (logs []RawLog, complete bool) {
	complete = true
	a.present = map[journal.DeviceID]bool{}
	for l, err := range a.Logs.RawLogs(ctx) {
		if err != nil {
			a.damage(Where{Part: Database}, fmt.Sprintf("The list of logs cannot be read: %v.", err), doDatabase)
			complete = false
			break
		}
		logs = append(logs, l)
		a.present[journal.DeviceID(l.Device)] = true
		a.total += int(max(l.Size, 0))
	}
	slices.SortStableFunc(logs, func(x, y RawLog) int {
		hub := string(a.Hub)
		if (x.Device == hub) != (y.Device == hub) {
			if x.Device == hub {
				return -1
			}
			return 1
		}
		return strings.Compare(x.Device, y.Device)
	})
	return logs, complete
}

func (a *audit) openCosigner() {
	v, err := proof.CosignVerifier(a.CosignKey)
	if err != nil {
		a.damage(Where{Part: Key, Log: a.Hub}, "The hub’s countersigning key that this folder was set up with cannot be read, so no countersignature can be verified.", doKeys)
		return
	}
	a.cosigner = v
	a.keys = proof.Founded(a.Shop, a.Hub, a.HubKey, a.CosignKey)
	a.keys.Agreed = func(keys journal.Digest) bool { return slices.Contains(a.Agreed, keys) }
}

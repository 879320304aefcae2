package audit_test

import (
	"errors"
	"slices"
	"strings"
	"testing"
	"time"

	"fettlebook/journal"
	"fettlebook/journal/audit"
	"fettlebook/journal/journaltest"
	"fettlebook/journal/proof"
	"fettlebook/media"

	"github.com/go-json-experiment/json/jsontext"
)

// What is signed may be wrong all the same. Each case makes just one finding.
func TestSignedButWrong(t *testing.T) {
	const damage, remark = audit.Damage, audit.Remark
	entry := func(i int64) audit.Where { return at(audit.Entry, bench, i) }
	tool := journal.Of("tool", "tw-1")
	for _, c := range []struct {
		name     string
		do       func(*testing.T, *paper)
		severity audit.Severity // "" for no finding at all
		where    audit.Where
		says     string
	}{
		{"nothing", func(t *testing.T, p *paper) {}, "", audit.Where{}, ""},
		{"a note", func(t *testing.T, p *paper) { p.tablet().note(t, same) }, "", audit.Where{}, ""},
		{"no bytes", func(t *testing.T, p *paper) { p.tablet().write(t, nil) }, damage, entry(1), "cannot be read"},
		{"no entry", func(t *testing.T, p *paper) { p.tablet().write(t, []byte(`{"specversion":"1.0"}`)) }, damage, entry(1), "cannot be read"},
		{"the source of another device", func(t *testing.T, p *paper) {
			p.tablet().note(t, func(e *journal.Entry) { e.Source.Device = "q9hd2w0r" })
		}, remark, entry(1), "names another device or shop"},
		{"the source of another shop", func(t *testing.T, p *paper) {
			p.tablet().note(t, func(e *journal.Entry) { e.Source.Shop = "q9hd2w0r" })
		}, remark, entry(1), "names another device or shop"},
		{"what only the hub may write", func(t *testing.T, p *paper) {
			p.tablet().draft(t, tool, minimal(journal.ToolRegistered))
		}, remark, entry(1), "Only the hub may write this"},
		{"the same in the hub’s name", func(t *testing.T, p *paper) {
			p.tablet().entry(t, tool, minimal(journal.ToolRegistered), func(e *journal.Entry) { e.Source.Device = office })
		}, remark, entry(1), "names another device or shop"},
		{"a correction of what only the hub may write", func(t *testing.T, p *paper) {
			id := p.hub().draft(t, tool, minimal(journal.ToolRegistered)).ID
			p.tablet().draft(t, tool, &journal.Correction{Of: id, Reason: "slip"})
		}, remark, entry(1), "Only the hub may write this"},
		{"the hub’s correction of that", func(t *testing.T, p *paper) {
			id := p.hub().draft(t, tool, minimal(journal.ToolRegistered)).ID
			p.hub().draft(t, tool, &journal.Correction{Of: id, Reason: "slip"})
		}, "", audit.Where{}, ""},
		{"a photograph that a tablet withdrew, so it is here still", func(t *testing.T, p *paper) {
			p.tablet().draft(t, journal.About(journaltest.JobOne, "", ""), &journal.Withdrawal{Photo: media.RefOf([]byte("x")), Reason: "no"})
		}, remark, entry(1), "Only the hub may write this"},
		{"a copy of the hub’s entry", func(t *testing.T, p *paper) {
			p.tablet().write(t, p.hub().rows[0].Bytes)
		}, remark, entry(1), "names another device or shop"},
		{"a quote", func(t *testing.T, p *paper) { p.quote(t, tool, minimal(journal.NoteMade), nil) }, "", audit.Where{}, ""},
		{"a quoted entry that is corrected", func(t *testing.T, p *paper) {
			id := p.quote(t, tool, minimal(journal.NoteMade), nil)
			p.tablet().draft(t, tool, &journal.Correction{Of: id, Reason: "slip"})
		}, "", audit.Where{}, ""},
		{"a quote of other bytes", func(t *testing.T, p *paper) {
			p.quote(t, tool, minimal(journal.NoteMade), func(q *journal.TakenOver) {
				q.Entry = strings.Replace(q.Entry, `"boot":"5c0e1d7a"`, `"boot":"5c0e1d7b"`, 1)
			})
		}, remark, entry(1), "knows no key that proves what this quotes"},
		{"a quote from another place in the log", func(t *testing.T, p *paper) {
			p.quote(t, tool, minimal(journal.NoteMade), func(q *journal.TakenOver) { q.Index = 1 })
		}, remark, entry(1), "knows no key that proves what this quotes"},
		{"a quote that somebody else signed", func(t *testing.T, p *paper) {
			p.quote(t, tool, minimal(journal.NoteMade), func(q *journal.TakenOver) {
				var tree proof.Tree
				tree.Append([]byte(q.Entry))
				q.Checkpoint = string(sign(t, p.hub().key, &tree))
			})
		}, remark, entry(1), "knows no key that proves what this quotes"},
		{"a quote of what only the hub may write", func(t *testing.T, p *paper) {
			p.quote(t, tool, minimal(journal.ToolRegistered), nil)
		}, remark, entry(1), "what only the hub may write"},
		{"an id that does not rise", func(t *testing.T, p *paper) {
			p.tablet().note(t, func(e *journal.Entry) { e.ID[3]--; e.Time = journal.Stamp(e.ID.Time()) })
		}, remark, entry(1), "not greater than all ids before it"},
		{"an id of another log's entry", func(t *testing.T, p *paper) {
			id := p.hub().draft(t, tool, minimal(journal.ToolRegistered)).ID
			p.tablet().note(t, func(e *journal.Entry) { e.ID = id })
		}, damage, entry(1), "same id"},
		{"data without what its kind demands", func(t *testing.T, p *paper) {
			p.tablet().note(t, func(e *journal.Entry) { e.Data = jsontext.Value(`{}`) })
		}, damage, entry(1), "as its kind must be"},
		{"data with a member that its kind has not", func(t *testing.T, p *paper) {
			p.tablet().note(t, func(e *journal.Entry) { e.Data = jsontext.Value(`{"note":"x","price":"1"}`) })
		}, damage, entry(1), "as its kind must be"},
		{"a kind about the wrong thing", func(t *testing.T, p *paper) {
			p.hub().entry(t, tool, minimal(journal.ToolRegistered), func(e *journal.Entry) { e.Subject = "job/4f7kk2m9" })
		}, damage, at(audit.Entry, office, 2), "cannot be about"},
		{"a kind of a newer program", func(t *testing.T, p *paper) {
			p.tablet().note(t, func(e *journal.Entry) { e.Type.Kind = "rack.turned" })
		}, remark, entry(1), "newer fettlebook"},
		{"a version of a newer program", func(t *testing.T, p *paper) {
			p.tablet().note(t, func(e *journal.Entry) { e.Type.Version = 2 })
		}, remark, entry(1), "newer fettlebook"},
		{"a newer kind with photos that are none", func(t *testing.T, p *paper) {
			p.tablet().entry(t, tool, minimal(journal.ToolRegistered), func(e *journal.Entry) { e.Type.Kind, e.Data = "rack.turned", jsontext.Value(`{"photos":7}`) })
		}, damage, entry(1), "photos"},
		{"a running time that goes backwards", func(t *testing.T, p *paper) {
			p.tablet().note(t, func(e *journal.Entry) { e.Uptime = 0 })
		}, remark, entry(1), "running time"},
		{"another start of the device", func(t *testing.T, p *paper) {
			p.tablet().note(t, func(e *journal.Entry) { e.Boot, e.Uptime = "7d0e1c2b", 0 })
		}, "", audit.Where{}, ""},
		{"a clock that was set back", func(t *testing.T, p *paper) {
			p.tablet().note(t, func(e *journal.Entry) { e.Time = journal.Stamp(time.Time(e.Time).Add(-11 * time.Minute)) })
		}, remark, entry(1), "set back"},
		{"a correction of an entry that is not here", func(t *testing.T, p *paper) {
			p.tablet().draft(t, journal.About(journaltest.JobOne, "", ""), &journal.Correction{Of: elsewhere, Reason: "slip"})
		}, remark, entry(1), "strikes through"},

		{"a state of the hub’s log as it was", func(t *testing.T, p *paper) { p.cite(t, p.root(), 2) }, "", audit.Where{}, ""},
		{"a state of the hub’s log as it never was", func(t *testing.T, p *paper) { p.cite(t, [32]byte{1}, 2) }, damage, entry(1), "never had"},
		{"more of the hub’s log than is here", func(t *testing.T, p *paper) { p.cite(t, [32]byte{1}, 3) }, damage, entry(1), "are cited (3)"},
		{"more of the hub’s log than is here, from another tablet", func(t *testing.T, p *paper) {
			p.own = office
			p.cite(t, [32]byte{1}, 3)
		}, remark, entry(1), "are cited (3)"},
		{"a state of the hub’s log from the future", func(t *testing.T, p *paper) {
			p.hub().entry(t, tool, minimal(journal.ToolRegistered), func(e *journal.Entry) { e.ID[3] += 2; e.Time = journal.Stamp(e.ID.Time()) })
			p.cite(t, p.root(), 3)
		}, remark, entry(1), "sorts before"},

		{"a key that the register does not name", func(t *testing.T, p *paper) { p.begin(t, "q9hd2w0r") }, remark, audit.Where{Part: audit.Key, Log: "q9hd2w0r"}, "register"},
		{"the same on the hub", func(t *testing.T, p *paper) {
			p.own = office
			p.begin(t, "q9hd2w0r")
		}, damage, audit.Where{Part: audit.Key, Log: "q9hd2w0r"}, "register"},
		{"no key", func(t *testing.T, p *paper) { p.begin(t, "q9hd2w0r").Key = "" }, damage, audit.Where{Part: audit.Key, Log: "q9hd2w0r"}, "no key"},
		{"a key that is none", func(t *testing.T, p *paper) { p.enrol(t, "q9hd2w0r", "a key"); p.begin(t, "q9hd2w0r").Key = "a key" }, damage, audit.Where{Part: audit.Key, Log: "q9hd2w0r"}, "cannot be read"},
		{"a key of another log", func(t *testing.T, p *paper) {
			p.enrol(t, "q9hd2w0r", p.tablet().Key)
			p.begin(t, "q9hd2w0r").Key = p.tablet().Key
		}, damage, audit.Where{Part: audit.Key, Log: "q9hd2w0r"}, "another log"},
		{"a device enrolled with another key later", func(t *testing.T, p *paper) { p.enrol(t, bench, "another") }, damage, at(audit.Entry, office, 2), "enrolled before"},
		{"a log that is gone", func(t *testing.T, p *paper) { p.enrol(t, "q9hd2w0r", "a key") }, damage, audit.Where{Part: audit.Log, Log: "q9hd2w0r"}, "gone"},
		{"a shop founded with another key", func(t *testing.T, p *paper) {
			p.hub().draft(t, journal.Of("shop", string(journaltest.Shop)), &journal.Shop{Shop: journaltest.Shop, Name: "x", LogKey: p.tablet().Key, CosignKey: p.cosign.Verifier()})
		}, damage, at(audit.Entry, office, 2), "founded"},

		{"a fork that two signatures prove", func(t *testing.T, p *paper) {
			p.fork(t, p.tablet().rows[0].Checkpoint, p.tablet().otherHistory(t, 1))
		}, remark, audit.Where{Part: audit.Log, Log: bench}, "two histories"},
		{"a fork of one history", func(t *testing.T, p *paper) {
			p.fork(t, p.tablet().rows[0].Checkpoint, p.tablet().rows[0].Checkpoint)
		}, damage, at(audit.Entry, office, 2), "or are the same"},
		{"a fork that somebody else signed", func(t *testing.T, p *paper) {
			p.fork(t, p.tablet().rows[0].Checkpoint, p.hub().rows[0].Checkpoint)
		}, damage, at(audit.Entry, office, 2), "not both signed"},
		{"a log that was closed", func(t *testing.T, p *paper) { p.tablet().Closed = "rolled back" }, remark, audit.Where{Part: audit.Log, Log: bench}, "rolled back"},

		{"a countersignature", func(t *testing.T, p *paper) { p.countersign(t, p.tablet(), 1) }, "", audit.Where{}, ""},
		{"a countersignature over another history", func(t *testing.T, p *paper) {
			p.tablet().rows[0].Checkpoint, p.tablet().signed = p.tablet().otherHistory(t, 1), nil
			p.countersign(t, p.tablet(), 1)
			p.tablet().rows[0].Checkpoint = p.tablet().checkpoint(t)
		}, damage, at(audit.Countersignature, bench, 0), "two different histories"},
		{"an entry that cannot be read at the end", func(t *testing.T, p *paper) {
			p.tablet().failure = errors.New("a scratch")
		}, damage, entry(1), "a scratch"},

		{"a finding of the store itself", func(t *testing.T, p *paper) { p.wrong = []string{"page 7 is odd"} }, damage, audit.Where{Part: audit.Database}, "page 7 is odd"},
		{"a thumbnail that nobody names", func(t *testing.T, p *paper) {
			p.thumbs = []audit.RawThumb{{Ref: refBytes(media.RefOf([]byte("x"))), Bytes: []byte("x")}}
		}, remark, audit.Where{Part: audit.Thumbnail, Photo: media.RefOf([]byte("x"))}, "No entry"},
		{"a photo noted that nobody names", func(t *testing.T, p *paper) {
			p.photos = []audit.RawPhoto{{Ref: refBytes(media.RefOf([]byte("x")))}}
		}, remark, audit.Where{Part: audit.PhotoNote, Photo: media.RefOf([]byte("x"))}, "no entry"},
		{"a card that no entry wrote", func(t *testing.T, p *paper) {
			p.cards = []audit.RawCard{{Card: "c7w1m3e9", Changed: make([]byte, 16), JSON: []byte(`{"card":"c7w1m3e9","details":{"name":"A"},"salt":"` + journal.Digest{}.String() + `"}`)}}
		}, remark, audit.Where{Part: audit.Card, Card: "c7w1m3e9"}, "not here"},
		{"a card erased before its entry came", func(t *testing.T, p *paper) {
			p.cards = []audit.RawCard{{Card: "c7w1m3e9", Changed: make([]byte, 16)}}
		}, remark, audit.Where{Part: audit.Card, Card: "c7w1m3e9"}, "not here"},
		{"a card under no name", func(t *testing.T, p *paper) {
			p.cards = []audit.RawCard{{Card: "a card", Changed: make([]byte, 16)}}
		}, damage, audit.Where{Part: audit.Card}, "name"},
		{"something in quarantine", func(t *testing.T, p *paper) {
			p.quarantined = []audit.RawQuarantined{{At: p.watch.Now(), Device: string(bench), Reason: "it does not fit", Bytes: 12}}
		}, remark, audit.Where{Part: audit.Quarantine, Log: bench}, "it does not fit"},
	} {
		t.Run(c.name, func(t *testing.T) {
			p := newPaper(t)
			c.do(t, p)
			r := p.audit(t)
			r.Findings = slices.DeleteFunc(r.Findings, unreached) // no hub ran here
			if c.severity == "" {
				if len(r.Findings) > 0 {
					t.Errorf("nothing is wrong:\n%s", text(t, r))
				}
				return
			}
			if len(r.Findings) != 1 {
				t.Fatalf("%d findings for one cause:\n%s", len(r.Findings), text(t, r))
			}
			f := r.Findings[0]
			f.Severity = audit.Damage // the place only
			if !found(audit.Report{Findings: []audit.Finding{f}}, c.where) || r.Findings[0].Severity != c.severity || !strings.Contains(f.What, c.says) {
				t.Errorf("want a %s at %s that says %q:\n%s", c.severity, c.where, c.says, text(t, r))
			}
		})
	}
}

func unreached(f audit.Finding) bool {
	return strings.Contains(f.What, "not countersigned the log to its end")
}

func same(*journal.Entry) {}

// elsewhere is the id of an entry that is not here.
var elsewhere = journal.EntryID{1, 0x95, 0xa3, 0xc1, 0x7e, 0x40, 0x70, 1, 0x9c, 0x3a}

// root is that of the hub's log.
func (p *paper) root() [32]byte { return p.hub().tree.Root() }

// cite writes an entry that says what it has seen of the hub's log.
func (p *paper) cite(t *testing.T, root [32]byte, size int64) {
	if size <= p.hub().Size {
		p.countersign(t, p.hub(), size)
	}
	p.tablet().note(t, func(e *journal.Entry) { e.Seen = journal.Seen{Size: size, Root: root} })
}

func (p *paper) enrol(t *testing.T, device journal.DeviceID, key string) {
	p.hub().draft(t, journal.Of("device", string(device)), &journal.Device{Device: device, Name: "bench 3", LogKey: key, ConnectKey: "UDQQQTGJBZOCDDZ6V2UHNRMTK2CCYYMLL55WPOUKOKLODYZJON6KRUXO", Invitation: elsewhere})
}

func (p *paper) fork(t *testing.T, held, shown []byte) {
	p.hub().draft(t, journal.Of("device", string(bench)), &journal.ForkFound{Device: bench, Held: string(held), Shown: string(shown)})
}

// quote has the tablet quote an entry of a branch that it signed, and returns
// that entry's id.
func (p *paper) quote(t *testing.T, about journal.Subject, data journal.Payload, change func(*journal.TakenOver)) journal.EntryID {
	lost := journaltest.NewAuthor(bench, p.watch, "lost")
	e, err := lost.Write(journal.Draft{Subject: about, By: journaltest.Io, Data: data})
	if err != nil {
		t.Fatal(err)
	}
	raw, err := e.Encode()
	if err != nil {
		t.Fatal(err)
	}
	var tree proof.Tree
	tree.Append(raw)
	q := &journal.TakenOver{Entry: string(raw), Device: bench, Checkpoint: string(sign(t, p.tablet().key, &tree)), Branch: journal.RestoredBranch}
	if change != nil {
		change(q)
	}
	p.tablet().draft(t, about, q)
	return e.ID
}

// otherHistory is a checkpoint that the device signed over other entries.
func (l *paperLog) otherHistory(t *testing.T, size int64) []byte {
	var other proof.Tree
	for range size {
		other.Append([]byte("another"))
	}
	return sign(t, l.key, &other)
}

func (l *paperLog) checkpoint(t *testing.T) []byte { return sign(t, l.key, &l.tree) }

func sign(t *testing.T, key proof.Key, tree *proof.Tree) []byte {
	signed, err := proof.Sign(key.Signer(), tree.Size(), tree.Root())
	if err != nil {
		t.Fatal(err)
	}
	return signed
}

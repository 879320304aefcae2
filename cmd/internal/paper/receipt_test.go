package paper_test

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"image"
	"image/png"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"fettlebook/cmd/internal/paper"
	"fettlebook/journal"
	"fettlebook/journal/evidence"
	"fettlebook/journal/proof"
	"fettlebook/journal/record"
	"fettlebook/journal/trade/unit"
	"fettlebook/journal/words"
	"fettlebook/media/mediatest"
)

// The receipt of the demonstration's job: two pages, with what its record says, and
// a code that reads back as the receipt's text.
func TestReceipt(t *testing.T) {
	t.Parallel()
	o := playedOffice(t)
	job := o.Job("job")
	w := o.wrote(job)
	w.whole()
	w.says("Tin Lantern Finishing", "TRL 4471", "handed back on", "13 May 2026", "You asked for: Rear calipers and brackets in signal orange",
		"were taken off, taken apart, degreased, blasted, masked, heated to drive out gas, powder coated in signal orange, baked, rebuilt and refitted.",
		"22 N·m", "5 × 120 N·m", "Brake pedal held down for 60 s; all joints dry",
		"Left rear bracket: coat 1: schedule met 1.98 times, by the coldest probe that gave readings", "left rear bracket 70.5 µm",
		"waived by IO, because nobody photographed the empty bag", "By 27 May 2026, at 84266 to 84316 km", "No acid wheel cleaner.",
		"Left rear, before the work", "as it came off", "Right rear, after the work", "This is a record, not an approval.", "This job is not sealed yet.")
	w.shows("20.0 N·m to 24.0 N·m", "maker's manual, 5-17, green estate", "tw-2, certificate K-tw-2, valid to 31 January 2027", "2 × 70 N·m, then 60°", "left rear and right rear: banjo bolt", "MK, 13 May 2026 11:14 JR, 13 May 2026 09:27")
	w.silent("cured", "Tarn", "Wilma", string(o.Job("other")), string(o.Job("first")))
	if n := w.pages(); n != 2 {
		t.Errorf("%d pages", n)
	}
	o.seal(job)
	w = o.wrote(job)
	receipt := o.asked().Seal(job).String()
	w.says("Keep this sheet.", receipt)
	w.silent("not sealed yet")
	if got := w.code(); got != receipt {
		t.Errorf("the code reads %q, want %q", got, receipt)
	}
	if _, err := evidence.ParseReceipt(w.code()); err != nil {
		t.Error(err)
	}
}

// Who was told of damage reads on the receipt when that was, and what they answered.
func TestReceiptSaysWhoWasToldOfDamage(t *testing.T) {
	t.Parallel()
	o := playedOffice(t)
	job := o.Job("job")
	o.wrote(job).silent("Told of it")
	o.Write(journal.About(job, "LR", "caliper"), "io", &journal.Condition{Condition: journal.DamagedSeat, Where: "banjo face", Decision: journal.RepairIt, Reason: "lapped",
		Told: &journal.Telling{How: "telephone", On: "2026-05-12", Answer: "go on"}})
	o.wrote(job).says("Left rear caliper: damaged seat at banjo face: repair", "Told of it", "Left rear caliper: by telephone on 12 May 2026; the answer was “go on”.")
}

// A car that was sold and came back under another plate is called on its papers
// as the customer knew it.
func TestSoldCar(t *testing.T) {
	t.Parallel()
	o := playedOffice(t)
	job := o.Job("job")
	is := o.Live.View(t.Context()).Job(job).Stated.Vehicle
	if is.VIN == "" {
		t.Fatalf("%+v", is)
	}
	is.Plate = "NXT 8080"
	o.force(journal.About("5b2n9k4d", "", ""), &journal.Job{Vehicle: is, Corners: []journal.Corner{journal.LeftRear}, Route: "caliper", Edition: 1})
	w := o.wrote(job)
	w.says("TRL 4471")
	w.silent("NXT")
	v := o.Live.View(t.Context())
	doc, err := paper.NewReport(t.Context(), v, paper.About{Jobs: []journal.JobID{job}}, o.asked())
	if err != nil {
		t.Fatal(err)
	}
	w = write(t, doc)
	w.says("TRL 4471")
	w.silent("NXT")
}

// code is what a camera reads on the pages of print.
func (w written) code() string {
	w.t.Helper()
	at := filepath.Join(w.t.TempDir(), "page")
	outside(w.t, "pdftoppm", "poppler-utils", "-r", "110", "-png", w.pdf, at)
	shots, err := filepath.Glob(at + "*.png")
	if err != nil || len(shots) == 0 {
		w.t.Fatal("no page was drawn", err)
	}
	return strings.TrimSpace(outside(w.t, "zbarimg", "zbar-tools", append([]string{"-q", "--raw"}, shots[len(shots)-1])...))
}

// What is written after the handover is said to be, and changes nothing above it.
func TestReceiptAfterHandover(t *testing.T) {
	t.Parallel()
	o := playedOffice(t)
	job := o.Job("job")
	o.seal(job)
	before := o.wrote(job)
	before.silent("Still open")
	o.Write(journal.About(job, "", ""), "io", &journal.Claim{Says: "the left rear wheel squeals"})
	o.Wait(40 * 24 * time.Hour)
	after := o.wrote(job)
	after.says("Still open", "the left rear wheel squeals", "1 entry was added after the handover", "Ask about fluid at the joints: due since 14 May 2026")
	if got, want := after.code(), before.code(); !strings.HasPrefix(got, "fettlebook receipt 1 ") || strings.Split(got, " at:")[0] != strings.Split(want, " at:")[0] {
		t.Errorf("the code is %q, and was %q", got, want)
	}
}

// A job whose entries are not those that were sealed gets no receipt, and its report
// says so on the first page.
func TestReceiptOfBrokenSeal(t *testing.T) {
	t.Parallel()
	o := playedOffice(t)
	job := o.Job("first")
	var at []journal.Position
	for _, l := range o.Live.View(t.Context()).Job(job).Timeline() {
		at = append(at, l.Position())
	}
	entries := o.bytes(at)
	entries[3] = []byte("another entry")
	o.Write(journal.About(job, "", ""), "hub", &journal.Seal{Root: proof.Seal(entries), Entries: len(at), Covers: journal.Stretches(at)})
	var broken *paper.SealBroken
	if _, err := o.receipt(job); !errors.As(err, &broken) || !strings.Contains(broken.Says, "was changed after the handover") {
		t.Errorf("a receipt over a broken seal: %v", err)
	}
	o.report(paper.About{Jobs: []journal.JobID{job}}).says("The seal does not fit: an entry of this job was changed after the handover.")
}

// There is no receipt for a vehicle that was not handed back.
func TestNotHandedBack(t *testing.T) {
	t.Parallel()
	o := playedOffice(t)
	if _, err := o.receipt(o.Job("other")); !errors.Is(err, paper.ErrNotHandedBack) {
		t.Errorf("the receipt of an open job: %v", err)
	}
}

// A job without a photograph says so; one whose photographs were withdrawn says that,
// and shows another where there is one.
func TestReceiptWithoutPhotographs(t *testing.T) {
	t.Parallel()
	o := playedOffice(t)
	o.wrote(o.Job("first")).says("No photograph shows the parts before and after the work.")
	job := o.Job("job")
	was := strings.Count(o.wrote(job).html, "<img")
	if was != 4 {
		t.Fatalf("%d pictures", was)
	}
	for _, l := range o.Live.View(t.Context()).Job(job).Timeline() {
		if l.Kind == journal.PartRefitted || l.Kind == journal.PartRemoved {
			for _, p := range l.Photos {
				o.Write(l.Subject, "io", &journal.Withdrawal{Photo: p.Ref, Reason: "a face is in it"})
			}
		}
	}
	w := o.wrote(job)
	w.whole()
	if is := strings.Count(w.html, "<img"); is != 4 {
		t.Errorf("%d pictures, while others show the corners", is)
	}
	for _, l := range o.Live.View(t.Context()).Job(job).Timeline() {
		for _, p := range l.Photos {
			if p.Withdrawn.IsZero() {
				o.Write(l.Subject, "io", &journal.Withdrawal{Photo: p.Ref, Reason: "a face is in it"})
			}
		}
	}
	w = o.wrote(job)
	w.says("This photograph was withdrawn. Its picture is deleted; its hash stays in the record.")
	if strings.Contains(w.html, "<img") {
		t.Error("a withdrawn photograph is shown")
	}
}

// Originals that are not on this machine are shown as thumbnails.
func TestReceiptWithoutOriginals(t *testing.T) {
	t.Parallel()
	o := playedOffice(t)
	if err := os.RemoveAll(filepath.Join(o.Dir, "photos")); err != nil {
		t.Fatal(err)
	}
	if n := strings.Count(o.wrote(o.Job("job")).html, "<img"); n != 4 {
		t.Errorf("%d pictures", n)
	}
}

// given gives the same bytes for every photograph.
type given []byte

func (g given) Picture(context.Context, record.Photo) ([]byte, error) { return g, nil }

// What a tablet sent in the place of a thumbnail keeps nobody from a receipt.
func TestReceiptWithHostileThumbnails(t *testing.T) {
	t.Parallel()
	o := playedOffice(t)
	jpeg := mediatest.JPEG(mediatest.Noise(64, 48, 1), 90, nil)
	huge := bytes.Replace(jpeg, []byte{0, 48, 0, 64}, []byte{0xff, 0xff, 0xff, 0xff}, 1)
	adobe := append([]byte("\xff\xee\x00\x0eAdobe"), 0, 100, 0, 0, 0, 0, 0) // red, green and blue as they are
	var dot bytes.Buffer
	if err := png.Encode(&dot, image.NewGray(image.Rect(0, 0, 1, 1))); err != nil {
		t.Fatal(err)
	}
	v := o.Live.View(t.Context())
	for name, raw := range map[string][]byte{"nothing": nil, "a PDF": []byte("%PDF-1.7"), "a PNG": dot.Bytes(), "half a JPEG": jpeg[:30], "a huge JPEG": huge, "other colours": slices.Concat(jpeg[:2], adobe, jpeg[2:])} {
		asked := o.asked()
		asked.Photos = given(raw)
		doc, err := paper.NewReceipt(t.Context(), v, v.Standing(o.Job("job")), asked)
		if err != nil {
			t.Errorf("%s: %v", name, err)
			continue
		}
		w := write(t, doc)
		w.says("The picture cannot be made out.")
		if strings.Contains(w.html, "<img") {
			t.Errorf("%s is shown", name)
		}
	}
}

// An erased customer is nobody on the paper.
func TestReceiptOfErasedCustomer(t *testing.T) {
	t.Parallel()
	o := playedOffice(t)
	job := o.Job("job")
	card := o.Live.View(t.Context()).Job(job).Customer.Card
	o.wrote(job).silent("Your details were erased")
	o.Write(journal.Of("card", string(card)), "io", &journal.CardErasing{Card: card, Reason: "asked for"})
	o.wrote(job).says("Your details were erased at your wish.")
}

// A shop that works in US units reads them on its papers; what was typed in others stands
// beside them.
func TestReceiptInUSUnits(t *testing.T) {
	t.Parallel()
	o := playedOffice(t)
	o.Write("shop/k7m2q4xw", "io", &journal.Units{Units: unit.USCustomary()})
	o.wrote(o.Job("job")).shows("22 N·m (16.2 lb·ft)", "14.8 lb·ft to 17.7 lb·ft", "2.77 mil", "84266 to 84316 km on the odometer")
}

// A receipt has numbers and days as the shop writes them.
func TestReceiptAsTheShopWrites(t *testing.T) {
	t.Parallel()
	o := playedOffice(t)
	o.wrote(o.Job("job")).shows("MK, 13 May 2026 11:14", "20.0 N·m to 24.0 N·m")
	o.Write("shop/k7m2q4xw", "io", journal.NewWriting(words.Writing{Decimal: words.Comma, Days: words.PointsDayFirst}, journal.ByInitials))
	w := o.wrote(o.Job("job"))
	w.shows("MK, 13.05.2026 11:14", "20,0 N·m to 24,0 N·m", "valid to 31.01.2027")
	w.silent("13 May 2026")
}

// What was agreed stands on the receipt by its hash: the terms that the customer
// accepted, and the warranty with its own.
func TestReceiptNamesItsTerms(t *testing.T) {
	t.Parallel()
	o := newOffice(t)
	job := journal.JobID("4f7kk2m9")
	terms, promised := journal.Digest{1, 2, 3}, journal.Digest{4, 5, 6}
	o.Write(journal.About(job, "", ""), "io", &journal.Job{Vehicle: journal.Vehicle{Plate: "TRL 4471"}, Corners: []journal.Corner{journal.LeftFront}, Route: "caliper", Edition: 1,
		Terms: terms, Warranty: &journal.Warranty{Months: 24, Terms: promised}})
	o.force(journal.About(job, "", ""), &journal.Release{Sheet: "care of powder coats, issue 2"})
	w := o.wrote(job)
	w.says(terms.String(), "Warranty", "24 months", "Its terms", promised.String(), "care of powder coats, issue 2")
	w.shows("Terms that you accepted", "Sheet handed over")
}

// Parts that came without their vehicle are shown by themselves, and corners at which
// nothing was done are not.
func TestReceiptOfLooseParts(t *testing.T) {
	t.Parallel()
	o := newOffice(t)
	loose, car := journal.JobID("4f7kk2m9"), journal.JobID("5f7kk2m9")
	for _, one := range []struct {
		job     journal.JobID
		corner  journal.Corner
		corners []journal.Corner
	}{{loose, journal.NoCorner, []journal.Corner{journal.NoCorner}}, {car, "LF", []journal.Corner{"LF", "RF"}}} {
		at := journal.About(one.job, one.corner, "bracket")
		o.Write(journal.About(one.job, "", ""), "io", &journal.Job{Vehicle: journal.Vehicle{Plate: string(one.job)}, Corners: one.corners, Route: "caliper", Edition: 1})
		o.Write(at, "io", &journal.Removal{}, "as it came off")
		o.Write(at, "io", &journal.Refitting{Bleeder: journal.NoBleeder}, "back on")
		o.force(journal.About(one.job, "", ""), &journal.Release{})
	}
	o.wrote(loose).says("Bracket, before the work", "Bracket, after the work", "The bracket was taken off and refitted.")
	w := o.wrote(car)
	w.says("Left front, before the work", "Left front, after the work")
	w.silent("Right front, before the work")
}

// A casting that goes in for another one is entered under a name of its own, which no
// customer ever saw.
func TestReceiptOfAReplacedCasting(t *testing.T) {
	t.Parallel()
	o := newOffice(t)
	const job = journal.JobID("6f7kk2m9")
	vehicle, old, other := journal.About(job, "", ""), journal.About(job, "LF", "caliper"), journal.About(job, "LF", "caliper-2")
	o.Write(vehicle, "io", &journal.Job{Vehicle: journal.Vehicle{Plate: "TRL 4472"}, Corners: []journal.Corner{"LF"}, Route: "caliper", Edition: 1})
	o.Write(old, "io", &journal.Removal{}, "as it came off")
	o.Write(old, "io", &journal.Condition{Condition: journal.CrackedEar, Where: "upper ear", Decision: journal.ReplaceIt, Reason: "cracked through"})
	o.Write(other, "io", &journal.Tagging{Tag: "LF-2", Number: "S-2", Metal: journal.Iron})
	o.Write(other, "io", &journal.Refitting{Bleeder: journal.BleederUp}, "back on")
	o.force(vehicle, &journal.Release{})
	w := o.wrote(job)
	w.says("The left front caliper (replacement) was refitted.")
	w.silent("front caliper-2")
}

// People are known by their initials, and by what they are called if somebody asks for
// that.
func TestNamesAsked(t *testing.T) {
	t.Parallel()
	o := playedOffice(t)
	v := o.Live.View(t.Context())
	asked := o.asked()
	asked.Name = func(id journal.PersonID) string { return map[journal.PersonID]string{"mk": "Marlow Kestrel"}[id] }
	doc, err := paper.NewReceipt(t.Context(), v, v.Standing(o.Job("job")), asked)
	if err != nil {
		t.Fatal(err)
	}
	write(t, doc).shows("Marlow Kestrel, 13 May 2026 11:14", "JR, 13 May 2026 09:27")
	o.wrote(o.Job("job")).silent("Kestrel")
}

// Who writes much gets a sheet all the same: long names, many joints, four corners.
func TestReceiptOfFortyParts(t *testing.T) {
	t.Parallel()
	o := newOffice(t)
	long := strings.Repeat("Rückhaltefederklammer ", 4)
	job := journal.JobID("4f7kk2m9")
	at := func(c journal.Corner, part string) journal.Subject {
		return journal.About(job, c, journal.PartID(part))
	}
	o.Write(at("", ""), "io", &journal.Job{Vehicle: journal.Vehicle{Plate: "TRL 4471", Looks: long}, Corners: []journal.Corner{"LF", "RF", "LR", "RR"}, Wish: strings.Repeat(long, 3), Route: "caliper", Edition: 1})
	for _, c := range []journal.Corner{"LF", "RF", "LR", "RR"} {
		for n := range 10 {
			part := fmt.Sprintf("bracket-%d", n+1)
			o.Write(at(c, part), "io", &journal.Removal{}, "as it came off")
			o.Write(at(c, part), "io", &journal.Refitting{Bleeder: journal.NoBleeder}, "back on")
			o.Write(at(c, part), "io", &journal.Torque{Joint: "bracket bolt", Torque: newtonMetres(t, "105 N·m"), Tool: "tw-1", Count: 2})
		}
	}
	o.force(at("", ""), &journal.Release{Told: []string{strings.Repeat(long, 5)}})
	w := o.wrote(job)
	w.whole()
	w.says("and 34 other parts", "Handed back with", "not yet met", "not proven")
	if n := w.pages(); n > 3 {
		t.Errorf("%d pages", n)
	}
}

func newtonMetres(t testing.TB, text string) (q unit.Torque) {
	t.Helper()
	if err := q.UnmarshalText([]byte(text)); err != nil {
		t.Fatal(err)
	}
	return q
}

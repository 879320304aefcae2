package evidence

import (
	"context"
	"crypto/x509"
	"errors"
	"fmt"
	"time"

	"fettlebook/journal"
	"fettlebook/journal/bag"
	"fettlebook/journal/words"
)

// Trusted is what whoever checks a dossier has from elsewhere and goes by. All
// of it may be left out.
type Trusted struct {
	Receipt *Receipt // the customer's
	// Authorities are the certificates under which the certificate of a
	// timestamp authority has to be issued.
	Authorities []*x509.Certificate
}

// Verify checks a dossier, against what is trusted if that is given, and answers
// every question, whatever the answer to the others is. It needs nothing but the
// file. The bytes that were read are told to
// progress, which may be nil.
//
// An error says that nothing could be found out: the disk cannot be read, ctx
// is done, or a newer program made the file (journal.ErrNewer).
func Verify(ctx context.Context, b *bag.Bag, by Trusted, progress func(bytes int64)) (Findings, error) {
	r := &reading{bag: b, receipt: by.Receipt, authorities: by.Authorities, logs: make(map[journal.DeviceID]*log), entries: make(map[At]*entry)}
	var err error
	if r.files, err = b.Check(ctx, progress); err != nil {
		return Findings{}, err
	}
	raw, err := r.load(DossierPath, MaxDossierBytes)
	if err != nil {
		return Findings{}, err
	}
	if r.d, err = Decode(raw); errors.Is(err, journal.ErrNewer) {
		return Findings{}, err
	} else if err != nil {
		return r.blind(err), nil
	}
	if err := r.read(ctx); err != nil {
		return Findings{}, err
	}
	f := Findings{About: r.about()}
	for _, check := range []func() (Answer, error){
		r.checkBytes, r.checkSigned, r.checkCountersigned, r.checkWitnessed, r.checkReceipt, r.checkComplete,
		func() (Answer, error) { return r.checkPhotos(ctx) }, r.checkOrder, r.checkCards, r.checkLater, r.checkBeyond,
	} {
		if err := ctx.Err(); err != nil {
			return Findings{}, err
		}
		a, err := check()
		if err != nil {
			return Findings{}, err
		}
		if a.Question != "" {
			a.Asks = a.Question.Asks()
			f.Answers = append(f.Answers, a)
		}
	}
	return f.settled(), nil
}

// read reads and proves: the hub's log first, since it says whose keys sign
// the others.
func (r *reading) read(ctx context.Context) error {
	if err := r.readEntries(ctx); err != nil {
		return err
	}
	if err := r.found(); err != nil {
		return err
	}
	if err := r.readLog(r.d.log(r.d.Hub), r.reg.keys[r.d.Hub]); err != nil {
		return err
	}
	if err := r.proveAll(func(d journal.DeviceID) bool { return d == r.d.Hub }); err != nil {
		return err
	}
	if err := r.learn(); err != nil {
		return err
	}
	for i := range r.d.Logs {
		if l := &r.d.Logs[i]; l.Device != r.d.Hub {
			if err := r.readLog(l, r.reg.keys[l.Device]); err != nil {
				return err
			}
		}
	}
	return r.proveAll(func(d journal.DeviceID) bool { return d != r.d.Hub })
}

func (r *reading) proveAll(of func(journal.DeviceID) bool) error {
	authority := journal.Authority{Shop: r.d.Shop, Hub: r.d.Hub}
	tops := make(map[journal.DeviceID]*journal.Top)
	for _, e := range r.list {
		if !of(e.At.Device) {
			continue
		}
		if err := r.prove(e); err != nil {
			return err
		}
		if e.e == nil {
			continue
		}
		top := tops[e.At.Device]
		if top == nil {
			top = new(journal.Top)
			tops[e.At.Device] = top
		}
		e.void = authority.Voids(e.e, e.At.Device, top.Falls(e.e.ID))
	}
	return nil
}

// blind is what is found of a bag whose description cannot be read.
func (r *reading) blind(err error) Findings {
	a := Answer{Question: Bytes, Asks: Bytes.Asks()}
	r.addFaults(&a)
	a.add(Finding{NoDossier, No, fmt.Sprintf("The description of the dossier cannot be read, so nothing else can be checked: %s.", err), nil, paths(DossierPath)})
	a.settle("", "The description of the dossier cannot be read.", "")
	f := Findings{About: "This file is packed as a dossier.", Answers: []Answer{a}}
	return f.settled()
}

// about says what the file says it is.
func (r *reading) about() string {
	var jobs []string
	for _, j := range r.d.About.Jobs {
		jobs = append(jobs, string(j))
	}
	of := words.Choose(len(jobs) == 1, "job ", "jobs ") + words.And(jobs...)
	switch {
	case r.d.About.Vehicle != "":
		of = fmt.Sprintf("the vehicle %s (%s)", r.d.About.Vehicle, of)
	case !r.d.About.Claim.IsZero():
		of = fmt.Sprintf("the complaint %s (%s)", r.d.About.Claim, of)
	}
	shop := "shop " + string(r.d.Shop)
	if r.reg.founding != nil {
		shop = fmt.Sprintf("%s (shop %s)", r.reg.founding.Name, r.d.Shop)
	}
	return fmt.Sprintf("This is a dossier of %s about %s. It holds %s of %s and names %s.", shop, of,
		words.Count(len(r.d.Entries), "entry"), words.Count(len(r.d.Logs), "log"), words.Count(len(r.d.Photos), "photograph"))
}

// settled adds what all answers come to. What nobody can know from any file is
// not held against this one.
func (f Findings) settled() Findings {
	no, unknown := 0, 0
	for _, a := range f.Answers {
		switch {
		case a.Verdict == No:
			no++
		case a.Verdict == Unknown && a.Question != Beyond:
			unknown++
		}
	}
	switch {
	case no > 0:
		f.Verdict = No
		f.Says = fmt.Sprintf("This file contradicts itself or the receipt in %s of %d. Each answer says what and where.", words.Count(no, "question"), len(f.Answers))
	case unknown > 0:
		f.Verdict = Unknown
		f.Says = fmt.Sprintf("Nothing in this file contradicts itself. %s cannot be answered from it.", words.Count(unknown, "question"))
	default:
		f.Verdict = Yes
		f.Says = "Every question is answered with yes. What cannot be known from any such file stands at the end."
	}
	return f
}

// paths gives files of the payload the names that they have in the bag's
// folder.
func paths(list ...string) []string {
	for i, p := range list {
		list[i] = "data/" + p
	}
	return list
}

// clock writes a time of the hub as people read it.
func clock(t time.Time) string { return words.Second(t.UTC()) + " UTC" }

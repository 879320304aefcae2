package main

import (
	"cmp"
	"context"
	"crypto/tls"
	"errors"
	"fmt"
	"slices"
	"strings"

	"fettlebook/cmd/internal/exit"
	"fettlebook/cmd/internal/folder"
	"fettlebook/journal"
	"fettlebook/journal/card"
	"fettlebook/journal/proof"
	"fettlebook/journal/trade/unit"
	"fettlebook/journal/words"
	"fettlebook/sync/broker"
)

type hubInit struct {
	Shop     string `required:"" help:"The shop’s name, as on its sign." placeholder:"NAME"`
	By       string `required:"" env:"FETTLEBOOK_BY" help:"The first person, a short name such as io." placeholder:"PERSON"`
	Initials string `help:"The person’s initials, as pressed into a stamp; made from --by if left out." placeholder:"XY"`
	Units    string `default:"metric" help:"The units in which the shop works: metric or \"US customary\", for which us is enough. The desk can change each later." placeholder:"UNITS"`
	Decimal  string `default:"point" help:"The decimal sign of numbers on pages and papers: point or comma. The desk can change it later, as it can the form of days." placeholder:"SIGN"`
	Days     string `default:"month in words" help:"How days are written on pages and papers: \"month in words\", \"year-month-day\", \"day.month.year\", \"day/month/year\" or \"month/day/year\"." placeholder:"FORM"`
	hubAt
}

// writing is how the shop writes numbers and days.
func (c *hubInit) writing() words.Writing {
	return words.Writing{Decimal: words.Named[words.DecimalSign](c.Decimal), Days: words.Named[words.DayForm](c.Days)}
}

// known refuses a word that is none of the choices; none at all is the first of them.
func known(flag, word string, choices []string) error {
	if word == "" || slices.Contains(choices, word) {
		return nil
	}
	return &exit.Error{Status: exit.Usage, Sentence: fmt.Sprintf("%s: %s is not a choice; choose %s", flag, words.Quoted(word), words.Or(choices...))}
}

// Run begins a shop.
func (c *hubInit) Run(ctx context.Context, t *terminal) error {
	if err := c.begin(ctx, t); err != nil {
		return err
	}
	fmt.Fprintf(t.Out, "The shop %q is set up in %s.\nStart the hub with:    fettlebook hub run --data %[2]s\nInvite a tablet with:  fettlebook hub invite --data %[2]s\nThe desk’s pages ask for a passphrase; set it with:  fettlebook hub passphrase --data %[2]s\n", c.Shop, t.Data)
	return nil
}

// begin founds the shop. Whose folder it is is written last: until it stands, the
// folder is none, and a second try begins afresh.
func (c *hubInit) begin(ctx context.Context, t *terminal) error {
	if _, err := folder.ReadIdentity(t.Data); errors.Is(err, folder.ErrUnnamed) {
		return err
	} else if !errors.Is(err, folder.ErrNoFolder) {
		return &exit.Error{Status: exit.Refused, Sentence: fmt.Sprintf("the folder %s holds a journal already; name another with --data", t.Data), Err: err}
	}
	by, err := person(c.By)
	if err != nil {
		return err
	}
	if _, ok := unit.Named(c.Units); !ok {
		return &exit.Error{Status: exit.Usage, Sentence: fmt.Sprintf("--units: %q is not a choice; choose %q or %q", c.Units, unit.MetricName, unit.USCustomaryName)}
	}
	if err := cmp.Or(known("--decimal", c.Decimal, words.Point.Words()), known("--days", c.Days, words.MonthInWords.Words())); err != nil {
		return err
	}
	lock, err := folder.Lock(t.Data)
	if err != nil {
		return err
	}
	err = folder.Begin(t.Data)
	if err == nil {
		err = c.make(ctx, t, by)
	}
	return errors.Join(err, lock.Unlock())
}

func (c *hubInit) make(ctx context.Context, t *terminal, by journal.PersonID) error {
	id, err := c.draw(t)
	if err != nil {
		return err
	}
	return c.found(ctx, t, id, by)
}

// person reads a person's short name, as a wrong word on the command line.
func person(text string) (journal.PersonID, error) {
	var by journal.PersonID
	if err := by.UnmarshalText([]byte(text)); err != nil {
		return "", &exit.Error{Status: exit.Usage, Sentence: "--by: " + err.Error(), Err: err}
	}
	return by, nil
}

// draw makes names and keys.
func (c *hubInit) draw(t *terminal) (folder.Identity, error) {
	shop, err := journal.NewShopID(t.Rand)
	if err != nil {
		return folder.Identity{}, err
	}
	device, err := journal.NewDeviceID(t.Rand)
	if err != nil {
		return folder.Identity{}, err
	}
	id, err := c.over(folder.Identity{Role: folder.Hub, Shop: shop, ShopName: c.Shop, Device: device, Name: "hub", Hub: device,
		Host: "0.0.0.0", DeskPort: 7460, BrokerPort: 7461, Named: []string{}})
	if err != nil {
		return id, err
	}
	if err := drawKeys(t, &id); err != nil {
		return id, err
	}
	certPEM, keyPEM, err := broker.NewCertificate(t.Now(), t.Rand, id.Addresses)
	if err != nil {
		return id, err
	}
	cert, err := tls.X509KeyPair(certPEM, keyPEM)
	if err != nil {
		return id, fmt.Errorf("read the new certificate: %w", err)
	}
	id.Fingerprint = broker.Fingerprint(cert.Leaf)
	return id, errors.Join(folder.WriteKey(t.Data, folder.CertFile, certPEM), folder.WriteKey(t.Data, folder.CertKey, keyPEM))
}

// drawKeys draws the hub's log key, countersigning key and line key.
func drawKeys(t *terminal, id *folder.Identity) error {
	logKey, err := folder.DrawLogKey(t.Data, *id, t.Rand)
	if err != nil {
		return err
	}
	cosign, err := proof.NewKey(t.Rand, proof.CosignerName(id.Shop))
	if err != nil {
		return err
	}
	id.HubKey, id.CosignKey = logKey.Verifier(), cosign.Verifier()
	return errors.Join(folder.WriteKey(t.Data, folder.CosignKey, []byte(cosign.Secret())), folder.DrawLineKey(t.Data))
}

// found writes the first entries and then the identity.
func (c *hubInit) found(ctx context.Context, t *terminal, id folder.Identity, by journal.PersonID) error {
	f, err := folder.Found(ctx, t.Data, id, t.folder())
	if err != nil {
		return err
	}
	initials := c.Initials
	if initials == "" {
		initials = strings.ToUpper(string(by))
	}
	_, err = f.Append(ctx, journal.Draft{Subject: journal.Of("shop", string(id.Shop)), By: by,
		Data: &journal.Shop{Shop: id.Shop, Name: c.Shop, LogKey: id.HubKey, CosignKey: id.CosignKey}})
	if err == nil {
		_, err = f.Append(ctx, journal.Draft{Subject: journal.Of("person", string(by)), By: by,
			Data: &journal.Person{Person: by, Initials: initials, Duties: []journal.Duty{journal.BenchDuty, journal.DeskDuty, journal.WaiveDuty, journal.ReleaseDuty, journal.OwnerDuty}}})
	}
	if units, ok := unit.Named(c.Units); ok && units != unit.Metric() && err == nil { // a shop that chose nothing is metric
		_, err = f.Append(ctx, journal.Draft{Subject: journal.Of("shop", string(id.Shop)), By: by, Data: &journal.Units{Units: units}})
	}
	if w := c.writing(); w != (words.Writing{}) && err == nil {
		_, err = f.Append(ctx, journal.Draft{Subject: journal.Of("shop", string(id.Shop)), By: by, Data: journal.NewWriting(w, journal.ByInitials)})
	}
	if err == nil {
		err = publishSupplied(ctx, f, by)
	}
	if err := errors.Join(err, f.Close()); err != nil {
		return err
	}
	return folder.WriteIdentity(t.Data, id)
}

// publishSupplied publishes the cards that come with the program, so that
// jobs are pinned to them as they are today.
func publishSupplied(ctx context.Context, f *folder.Folder, by journal.PersonID) error {
	for _, name := range card.SuppliedNames() {
		text, err := card.Supplied(name)
		if err != nil {
			return err
		}
		read, err := card.Parse(text)
		if err != nil {
			return err
		}
		if _, err := f.Append(ctx, folder.CardDraft(read, by)); err != nil {
			return err
		}
	}
	return nil
}

package main

import (
	"context"
	"fmt"
	"strings"
	"time"

	"fettlebook/cmd/internal/folder"
	"fettlebook/journal"
	"fettlebook/journal/words"
	"fettlebook/sync/hub"
	"fettlebook/sync/segment"

	"rsc.io/qr"
)

type hubInvite struct {
	Name  string `help:"What the tablet is to be called, such as \"bench 1\"." placeholder:"NAME"`
	Hours int    `default:"24" help:"For how many hours the invitation holds."`
	By    string `required:"" env:"FETTLEBOOK_BY" help:"Who invites: a short name such as io." placeholder:"PERSON"`
	JSON  bool   `name:"json" help:"Print JSON."`
}

// invitedView is an invitation, as it is printed.
type invitedView struct {
	Invitation string `json:"invitation"`
	Expires    string `json:"expires"`
}

// Run makes an invitation. Only the hash of its token is written down.
func (c *hubInvite) Run(ctx context.Context, t *terminal) error {
	id, err := identityOf(t.Data, folder.Hub)
	if err != nil {
		return err
	}
	by, err := person(c.By)
	if err != nil {
		return err
	}
	expires := t.Now().Add(time.Duration(c.Hours) * time.Hour)
	token, draft, err := hub.NewInvitation(id.Shop, by, c.Name, expires, t.Rand)
	if err != nil {
		return err
	}
	w, err := openWriter(ctx, t)
	if err != nil {
		return err
	}
	defer w.Close()
	if _, err := (noted{w, t.Err}).Append(ctx, draft); err != nil {
		return err
	}
	text := segment.Invitation{Shop: string(id.Shop), ShopName: id.ShopName, Addresses: deskAddresses(id),
		Fingerprint: id.Fingerprint, Token: token, Expires: expires.Unix(), Name: c.Name}.String()
	if c.JSON {
		return printReport(t.Out, "hub invite", invitedView{text, expires.UTC().Format(time.RFC3339)})
	}
	drawing, err := qrText(text)
	if err != nil {
		return err
	}
	fmt.Fprintf(t.Out, "%s\nOne tablet can join %q with this line until %s:\n\n  %s\n\nAt the tablet, run `fettlebook tablet join` and type the line when it asks, or name a file that holds it with --invitation-file.\n", drawing, id.ShopName, journal.Stamp(expires).Said(words.Writing{}), text)
	return nil
}

// qrText draws a QR code with half blocks, two rows of dots a line, with the
// quiet zone of four dots that ISO/IEC 18004 asks for.
func qrText(text string) (string, error) {
	code, err := qr.Encode(text, qr.L)
	if err != nil {
		return "", fmt.Errorf("draw QR code: %w", err)
	}
	const quiet = 4
	var b strings.Builder
	for y := -quiet; y < code.Size+quiet; y += 2 {
		for x := -quiet; x < code.Size+quiet; x++ {
			// Light dots are drawn, so that the code reads on a dark terminal.
			switch up, down := !code.Black(x, y), !code.Black(x, y+1); {
			case up && down:
				b.WriteString("█")
			case up:
				b.WriteString("▀")
			case down:
				b.WriteString("▄")
			default:
				b.WriteString(" ")
			}
		}
		b.WriteByte('\n')
	}
	return b.String(), nil
}

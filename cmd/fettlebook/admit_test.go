package main

import (
	"bytes"
	"log/slog"
	"path/filepath"
	"strings"
	"testing"

	"fettlebook/sync/broker"
	"fettlebook/sync/hub"
)

// lettingIn is a broker that notes whom it is to let in.
type lettingIn struct{ now broker.Register }

func (l *lettingIn) Reload(who broker.Register) error {
	l.now = who
	return nil
}

// Who is cut off is so at once, also where the list of those who are let in cannot be kept.
func TestCutOffWithoutRoom(t *testing.T) {
	var said bytes.Buffer
	at := new(lettingIn)
	door := admitter{t.TempDir(), "k7m2q4xw", "HUB", at, slog.New(slog.NewTextHandler(&said, nil))}
	both := []hub.Client{{Device: "t3fz8c1n", Key: "ONE"}, {Device: "x0000002", Key: "TWO"}}
	if err := door.Admit(t.Context(), both); err != nil || len(at.now.Devices) != 2 || said.Len() > 0 {
		t.Fatalf("%d are let in, %v, %q", len(at.now.Devices), err, said.String())
	}
	kept, err := readAdmitted(door.dir)
	if err != nil || len(kept) != 2 {
		t.Errorf("%v is kept (%v)", kept, err)
	}
	door.dir = filepath.Join(door.dir, admittedFile) // nothing can be written below a file
	if err := door.Admit(t.Context(), both[:1]); err != nil || len(at.now.Devices) != 1 || at.now.Devices[0].NKey != "ONE" {
		t.Errorf("let in are %+v (%v)", at.now.Devices, err)
	}
	if !strings.Contains(said.String(), "keep the list of tablets") {
		t.Errorf("it says %q", said.String())
	}
}

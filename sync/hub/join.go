package hub

import (
	"cmp"
	"context"
	"crypto/sha256"
	"errors"
	"fmt"
	"io"
	"net/http"
	"strings"
	"time"

	"fettlebook/journal"
	"fettlebook/journal/proof"
	"fettlebook/sync/segment"

	"github.com/go-json-experiment/json"
	"github.com/nats-io/nkeys"
)

// TokenBytes is the length of an invitation's token: too long to be guessed.
const TokenBytes = 16

// NewInvitation draws a token and drafts the entry that makes it valid. The
// caller appends the draft to the hub's log and shows the token once.
func NewInvitation(shop journal.ShopID, by journal.PersonID, name string, expires time.Time, rand io.Reader) ([]byte, journal.Draft, error) {
	token := make([]byte, TokenBytes)
	if _, err := io.ReadFull(rand, token); err != nil {
		return nil, journal.Draft{}, fmt.Errorf("draw an invitation: %w", err)
	}
	return token, journal.Draft{Subject: journal.Of("shop", string(shop)), By: by,
		Data: &journal.Invitation{Token: sha256.Sum256(token), Expires: journal.Stamp(expires), Name: name}}, nil
}

// Desk is the joining desk: an HTTP handler to be served over TLS with the
// hub's own certificate.
func (h *Hub) Desk() http.Handler {
	mux := http.NewServeMux()
	mux.HandleFunc("POST "+segment.JoinPath, h.serveJoin)
	return mux
}

func (h *Hub) serveJoin(w http.ResponseWriter, r *http.Request) {
	var q segment.JoinRequest
	reply := segment.JoinReply{}
	status := http.StatusOK
	err := json.UnmarshalRead(http.MaxBytesReader(w, r.Body, 16<<10), &q, json.RejectUnknownMembers(true))
	if err != nil {
		err = &refusal{sentence: "the request to join cannot be read; update fettlebook on the tablet or at the hub"}
	} else {
		reply, err = h.join(r.Context(), q)
	}
	if err != nil {
		status = http.StatusForbidden
		var no *refusal
		if errors.As(err, &no) {
			reply = segment.JoinReply{Refused: no.sentence, Revoked: no.revoked}
			h.tally.joinsRefused.Add(1)
			h.cfg.Logger.InfoContext(r.Context(), "join refused", "device", q.Device, "from", r.RemoteAddr, "error", err)
		} else {
			status = http.StatusInternalServerError
			reply = segment.JoinReply{Refused: "the hub has a problem of its own, which is in its log; try again in a minute"}
			h.cfg.Logger.WarnContext(r.Context(), "join", "device", q.Device, "from", r.RemoteAddr, "error", err)
		}
	} else {
		h.tally.joins.Add(1)
		h.cfg.Logger.InfoContext(r.Context(), "join", "device", q.Device, "from", r.RemoteAddr)
	}
	w.Header().Set("Content-Type", "application/json")
	w.WriteHeader(status)
	if err := json.MarshalWrite(w, reply); err != nil {
		h.cfg.Logger.DebugContext(r.Context(), "join", "error", err)
	}
}

// refusal is a no that the tablet's person may read.
type refusal struct {
	sentence string
	revoked  bool // the device was, and may join again as another
}

func (e *refusal) Error() string { return e.sentence }

// join lets a device in: the token is good and unused, both keys are proven,
// and the register says so before the broker knows the key.
func (h *Hub) join(ctx context.Context, q segment.JoinRequest) (segment.JoinReply, error) {
	if q.Device == h.cfg.Device {
		return segment.JoinReply{}, &refusal{sentence: "a tablet cannot take the hub’s own name; try again"}
	}
	if err := provesKeys(h.cfg.Shop, q); err != nil {
		return segment.JoinReply{}, err
	}
	if err := h.enrol(ctx, q); err != nil {
		return segment.JoinReply{}, err
	}
	if err := h.showOwn(ctx); err != nil {
		return segment.JoinReply{}, err
	}
	replaced, err := h.replaced(ctx, q.Replaces)
	if err != nil {
		return segment.JoinReply{}, err
	}
	return segment.JoinReply{
		Shop: h.cfg.Shop, ShopName: h.cfg.ShopName, Hub: h.cfg.Device,
		HubKey: cmp.Or(h.cfg.HubKey, h.cfg.Key.Verifier()), CosignKey: cmp.Or(h.cfg.CosignKey, h.cfg.Cosigner.Verifier()), Port: h.cfg.Port,
		Replaced: replaced, Agreed: h.cfg.Agreed,
	}, nil
}

// replaced tells how much of a log counts that was closed; nil of one that was
// not, or not yet.
func (h *Hub) replaced(ctx context.Context, device journal.DeviceID) (*segment.Replaced, error) {
	if device == "" {
		return nil, nil
	}
	if err := h.writeOrder(ctx); err != nil { // it may have been revoked a moment ago
		return nil, err
	}
	h.mu.Lock()
	defer h.mu.Unlock()
	counts, closed := h.reg.closings.Counts(device)
	if !closed {
		return nil, nil
	}
	return &segment.Replaced{Counts: counts, Branch: h.reg.closings.Branch(device)}, nil
}

// enrol checks the invitation and writes the entry, one device at a time, so
// that a token cannot be used twice at once.
func (h *Hub) enrol(ctx context.Context, q segment.JoinRequest) error {
	h.mu.Lock()
	defer h.mu.Unlock()
	if err := h.readRegister(ctx); err != nil {
		return err
	}
	invitation, ok := h.reg.invitations[sha256.Sum256(q.Token)]
	known := h.reg.devices[q.Device]
	same := known != nil && known.LogKey == q.LogKey && known.ConnectKey == q.ConnectKey
	switch {
	case !ok:
		return &refusal{sentence: "this invitation is not known here; ask for a new one with `hub invite`"}
	case known != nil && known.revoked:
		return &refusal{"this tablet was revoked; start again with an empty data folder and a new invitation", true}
	case same && known.Invitation == invitation.id:
		return nil // the answer to the first try was lost
	case same:
		return &refusal{sentence: "this tablet has already been let in; there is no need to join again"}
	case invitation.used:
		return &refusal{sentence: "this invitation has already been used; every tablet needs one of its own, made with `hub invite`"}
	case h.cfg.Now().After(invitation.expires):
		return &refusal{sentence: "this invitation has expired; ask for a new one with `hub invite`"}
	case known != nil:
		return &refusal{sentence: "a tablet of this name is here already; try again"}
	}
	name := q.Name
	if invitation.name != "" {
		name = invitation.name
	}
	if name == "" {
		name = string(q.Device)
	}
	_, err := h.appendHeld(ctx, journal.Draft{Subject: journal.Of("device", string(q.Device)), By: h.cfg.By,
		Data: &journal.Device{Device: q.Device, Name: name, LogKey: q.LogKey, ConnectKey: q.ConnectKey,
			Invitation: invitation.id, Replaces: q.Replaces}})
	if errors.Is(err, ErrRecovering) {
		return &refusal{sentence: ErrRecovering.Error()}
	}
	return err
}

// provesKeys demands that both keys are the device's own: each signed the
// request. The log key must carry the name of the log it is to sign.
func provesKeys(shop journal.ShopID, q segment.JoinRequest) error {
	wrong := &refusal{sentence: "the tablet’s keys cannot be verified; start the join again"}
	var d journal.DeviceID
	// A dot would make the name two words of a subject, and open other
	// devices' inboxes.
	if d.UnmarshalText([]byte(q.Device)) != nil || strings.Contains(string(q.Device), ".") || len(q.Name) > journal.MaxName {
		return wrong
	}
	if !strings.HasPrefix(q.LogKey, proof.Origin(shop, q.Device)+"+") {
		return wrong
	}
	if !proof.VerifySign(q.LogKey, segment.JoinPurpose, q.Statement(), q.LogProof) {
		return wrong
	}
	key, err := nkeys.FromPublicKey(q.ConnectKey)
	if err != nil || !nkeys.IsValidPublicUserKey(q.ConnectKey) || key.Verify(q.Statement(), q.LineProof) != nil {
		return wrong
	}
	return nil
}

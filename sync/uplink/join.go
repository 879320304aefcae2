package uplink

import (
	"bytes"
	"context"
	"crypto/tls"
	"errors"
	"fmt"
	"io"
	"net"
	"net/http"
	"strconv"
	"time"

	"fettlebook/journal"
	"fettlebook/journal/proof"
	"fettlebook/sync/segment"

	"github.com/go-json-experiment/json"
	"github.com/nats-io/nkeys"
)

// Applicant is a tablet that asks to join: its name for ever, what the shop
// calls it, and its two keys, which never leave it.
type Applicant struct {
	Device   journal.DeviceID
	Name     string
	Log      proof.Key        // signs its log; named by [proof.Origin]
	Line     nkeys.KeyPair    // signs connections
	Replaces journal.DeviceID // the log that this one follows, if any
}

// ErrNoHub is wrapped when no address of the invitation gave an answer.
var ErrNoHub = errors.New("none of the invitation’s addresses reaches the hub; bring the tablet into the shop’s network and try again")

// Joined is what a tablet must know of its shop from now on.
type Joined struct {
	segment.JoinReply
	Broker string // host:port, on the host whose desk answered
}

// NotJoined is the hub's no to a request to join, with its reason in a sentence.
type NotJoined struct {
	Sentence string
	Revoked  bool // the tablet was, and may join again under another name
}

func (e *NotJoined) Error() string { return "the hub says: " + e.Sentence }

// joinTimeout bounds one try at one address, joinReplyBytes the answer.
const (
	joinTimeout    = 15 * time.Second
	joinReplyBytes = 64 << 10
)

// Join asks the hub of an invitation to let a tablet in. The tls settings
// accept the invitation's certificate and no other. Each address is tried in
// turn. The same applicant may ask again with the same invitation when an
// answer got lost. Whether the invitation still stands is for the hub to say,
// whose clock counts. Errors: [ErrNoHub], [*NotJoined].
func Join(ctx context.Context, i segment.Invitation, a Applicant, pinned *tls.Config) (Joined, error) {
	body, err := a.request(i)
	if err != nil {
		return Joined{}, err
	}
	transport := &http.Transport{TLSClientConfig: pinned, DisableKeepAlives: true}
	client := &http.Client{Transport: transport, Timeout: joinTimeout}
	var errs []error
	for _, address := range i.Addresses {
		joined, err := joinAt(ctx, client, address, i, body)
		var no *NotJoined
		if err == nil || errors.As(err, &no) || ctx.Err() != nil {
			return joined, err
		}
		errs = append(errs, err)
	}
	return Joined{}, fmt.Errorf("%w: %w", ErrNoHub, errors.Join(errs...))
}

func joinAt(ctx context.Context, client *http.Client, address string, i segment.Invitation, body []byte) (Joined, error) {
	host, _, err := net.SplitHostPort(address)
	if err != nil {
		return Joined{}, fmt.Errorf("ask to join: %w", err)
	}
	reply, err := post(ctx, client, "https://"+address+segment.JoinPath, body)
	if err == nil {
		err = check(reply, i)
	}
	if err != nil {
		return Joined{}, err
	}
	return Joined{JoinReply: reply, Broker: net.JoinHostPort(host, strconv.Itoa(reply.Port))}, nil
}

// request signs the request with both keys.
func (a Applicant) request(i segment.Invitation) ([]byte, error) {
	connect, err := a.Line.PublicKey()
	if err != nil {
		return nil, fmt.Errorf("read connection key: %w", err)
	}
	q := segment.JoinRequest{Token: i.Token, Device: a.Device, Name: a.Name, LogKey: a.Log.Verifier(), ConnectKey: connect, Replaces: a.Replaces}
	q.LogProof = a.Log.Sign(segment.JoinPurpose, q.Statement())
	if q.LineProof, err = a.Line.Sign(q.Statement()); err != nil {
		return nil, fmt.Errorf("sign with connection key: %w", err)
	}
	body, err := json.Marshal(q)
	if err != nil {
		return nil, fmt.Errorf("encode request: %w", err)
	}
	return body, nil
}

func post(ctx context.Context, client *http.Client, url string, body []byte) (segment.JoinReply, error) {
	var reply segment.JoinReply
	r, err := http.NewRequestWithContext(ctx, http.MethodPost, url, bytes.NewReader(body))
	if err != nil {
		return reply, fmt.Errorf("ask to join: %w", err)
	}
	r.Header.Set("Content-Type", "application/json")
	answer, err := client.Do(r)
	if err != nil {
		return reply, fmt.Errorf("ask to join: %w", err)
	}
	defer answer.Body.Close()
	if err := json.UnmarshalRead(io.LimitReader(answer.Body, joinReplyBytes), &reply); err != nil {
		return reply, fmt.Errorf("ask to join: %s answered with something else (%s): %w", url, answer.Status, err)
	}
	if reply.Refused != "" {
		return reply, &NotJoined{reply.Refused, reply.Revoked}
	}
	if answer.StatusCode != http.StatusOK {
		return reply, fmt.Errorf("ask to join: %s answered %s", url, answer.Status)
	}
	return reply, nil
}

// check refuses an answer that a tablet could not work with.
func check(reply segment.JoinReply, i segment.Invitation) error {
	if string(reply.Shop) != i.Shop || reply.Hub == "" || reply.Port <= 0 {
		return &NotJoined{Sentence: "its answer is not for the shop of the invitation; ask for a new invitation"}
	}
	if _, err := proof.Verifier(reply.HubKey); err != nil {
		return err
	}
	_, err := proof.CosignVerifier(reply.CosignKey)
	return err
}

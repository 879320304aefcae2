package control

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io"
	"net/http"
	"net/url"
	"os"
	"path/filepath"

	"fettlebook/cmd/internal/exit"
	"fettlebook/cmd/internal/folder"
	"fettlebook/journal"

	"github.com/go-json-experiment/json"
)

// Client writes into a folder through the program that holds it.
type Client struct {
	file
	client http.Client
}

// Dial finds the program that holds a folder. Without one the error
// wraps [folder.ErrInUse].
func Dial(dir string) (*Client, error) {
	raw, err := os.ReadFile(filepath.Join(dir, fileName))
	if err != nil {
		return nil, fmt.Errorf("%w (%s)", folder.ErrInUse, dir)
	}
	g := &Client{}
	if err := json.Unmarshal(raw, &g.file); err != nil {
		return nil, fmt.Errorf("%w: its door.json cannot be read", folder.ErrInUse)
	}
	return g, nil
}

// Snap hands a photo in. The thumbnail stays with the program.
func (g *Client) Snap(ctx context.Context, r io.Reader, role string) (journal.Photo, []byte, error) {
	var p journal.Photo
	err := g.call(ctx, http.MethodPost, "/photos?role="+url.QueryEscape(role), r, &p)
	return p, nil, err
}

// Append hands an entry in. It comes back beside a *[journal.Written] if
// something went wrong after it was written.
func (g *Client) Append(ctx context.Context, d journal.Draft) (*journal.Entry, error) {
	if err := d.Valid(); err != nil {
		return nil, err
	}
	data, err := journal.MarshalPayload(d.Data)
	if err != nil {
		return nil, err
	}
	kind := d.Data.Kind()
	e := new(journal.Entry)
	err = g.post(ctx, "/entries", request{Subject: d.Subject, By: d.By,
		Type: journal.Type{Kind: kind, Version: kind.Version()}, Data: data, Begins: d.Begins}, e)
	if after := (*journal.Written)(nil); err != nil && !errors.As(err, &after) {
		return nil, err
	}
	return e, err
}

// SaveCard hands a customer card in.
func (g *Client) SaveCard(ctx context.Context, s journal.CardState) error {
	return g.post(ctx, "/cards", s, nil)
}

// Status asks how the program stands.
func (g *Client) Status(ctx context.Context, reply any) error {
	return g.call(ctx, http.MethodGet, "/status", nil, reply)
}

// Close gives the connections back.
func (g *Client) Close() error {
	g.client.CloseIdleConnections()
	return nil
}

func (g *Client) post(ctx context.Context, path string, message, reply any) error {
	raw, err := json.Marshal(message)
	if err != nil {
		return fmt.Errorf("encode request: %w", err)
	}
	return g.call(ctx, http.MethodPost, path, bytes.NewReader(raw), reply)
}

func (g *Client) call(ctx context.Context, method, path string, body io.Reader, reply any) error {
	r, err := http.NewRequestWithContext(ctx, method, "http://"+g.Address+path, body)
	if err != nil {
		return fmt.Errorf("make a request: %w", err)
	}
	r.Header.Set("Authorization", "Bearer "+g.Token)
	res, err := g.client.Do(r)
	if err != nil {
		return fmt.Errorf("%w, and it does not answer; try again (%w)", folder.ErrInUse, err)
	}
	defer res.Body.Close()
	switch res.StatusCode {
	case http.StatusAccepted:
		p := problem{Written: reply}
		if err := json.UnmarshalRead(res.Body, &p); err != nil {
			return fmt.Errorf("read answer: %w", err)
		}
		return journal.Afterwards(errors.New(p.Sentence))
	case http.StatusUnprocessableEntity:
		var p problem
		if err := json.UnmarshalRead(res.Body, &p); err != nil {
			return fmt.Errorf("read answer: %w", err)
		}
		return &exit.Error{Status: p.Code, Sentence: p.Sentence}
	}
	if res.StatusCode != http.StatusOK {
		return errors.New("another program listens for the commands of this folder; stop it and try again")
	}
	if reply == nil {
		return nil
	}
	if err := json.UnmarshalRead(res.Body, reply); err != nil {
		return fmt.Errorf("read answer: %w", err)
	}
	return nil
}

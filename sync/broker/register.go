package broker

import (
	"errors"
	"fmt"
	"slices"
	"strings"

	"github.com/nats-io/jwt/v2"
	"github.com/nats-io/nats-server/v2/server"
	"github.com/nats-io/nkeys"
)

// ErrRegister: the register names a key or a subject that must not be let in.
var ErrRegister = errors.New("the broker’s register of devices cannot be used")

// Device is one enrolled client and the subjects it may touch. Everything that
// is not listed is forbidden.
type Device struct {
	// NKey is the public user nkey of the device's connection: "U" and 55
	// more characters of base32.
	NKey string
	// Publish and Subscribe are subjects, wildcards allowed. Neither may be
	// empty: the server reads an empty list as "everything". The device's
	// own inbox ("_INBOX_<device>.>") belongs in Subscribe.
	Publish   []string
	Subscribe []string
}

// Register is everybody who may connect.
type Register struct {
	// Hub is the public user nkey of the hub's own client. It has full
	// rights and may connect in-process only.
	Hub string
	// Devices may connect over TLS only.
	Devices []Device
}

// users turns the register into the server's list, or refuses it as a whole.
func (r Register) users() ([]*server.NkeyUser, error) {
	if !nkeys.IsValidPublicUserKey(r.Hub) {
		return nil, fmt.Errorf("%w: the hub’s key %q is not a public user nkey", ErrRegister, r.Hub)
	}
	seen := map[string]bool{r.Hub: true}
	users := make([]*server.NkeyUser, 0, 1+len(r.Devices))
	users = append(users, &server.NkeyUser{
		Nkey:                   r.Hub,
		AllowedConnectionTypes: map[string]struct{}{jwt.ConnectionTypeInProcess: {}},
	})
	for _, d := range r.Devices {
		if err := d.valid(); err != nil {
			return nil, err
		}
		if seen[d.NKey] {
			return nil, fmt.Errorf("%w: key %s is in it twice, but each device needs its own", ErrRegister, d.NKey)
		}
		seen[d.NKey] = true
		users = append(users, &server.NkeyUser{
			Nkey: d.NKey,
			Permissions: &server.Permissions{
				Publish:   &server.SubjectPermission{Allow: slices.Clone(d.Publish)},
				Subscribe: &server.SubjectPermission{Allow: slices.Clone(d.Subscribe)},
			},
			AllowedConnectionTypes: map[string]struct{}{jwt.ConnectionTypeStandard: {}},
		})
	}
	return users, nil
}

func (d Device) valid() error {
	if !nkeys.IsValidPublicUserKey(d.NKey) {
		return fmt.Errorf("%w: %q is not a public user nkey", ErrRegister, d.NKey)
	}
	if len(d.Publish) == 0 || len(d.Subscribe) == 0 {
		return fmt.Errorf("%w: device %s lacks subjects to publish to or to listen on, which the server would take as a right to all of them", ErrRegister, d.NKey)
	}
	for _, s := range slices.Concat(d.Publish, d.Subscribe) {
		if err := validGrant(s); err != nil {
			return fmt.Errorf("%w: device %s: %w", ErrRegister, d.NKey, err)
		}
	}
	return nil
}

// validGrant refuses what would open more than a device's own corner: subjects
// whose first word is open, the server's own ("$JS.API…" deletes streams), and
// the shared inbox, where every other client's answers arrive.
func validGrant(subject string) error {
	first, _, _ := strings.Cut(subject, ".")
	switch {
	case !server.IsValidSubject(subject):
		return fmt.Errorf("%q is not a subject", subject)
	case first == "*" || first == ">":
		return fmt.Errorf("subject %q begins with a wildcard and would reach everything", subject)
	case strings.HasPrefix(first, "$"):
		return fmt.Errorf("subject %q belongs to the server itself", subject)
	case first == "_INBOX":
		return fmt.Errorf("subject %q is the inbox of everybody: use an inbox prefix of the device’s own", subject)
	}
	return nil
}

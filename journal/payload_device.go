package journal

import (
	"fmt"

	"fettlebook/journal/words"
)

// The payloads of the register that are of devices, their clocks and logs. Only
// the hub writes these.
type (
	// Invitation is the data of device.invited. The token itself is on the
	// paper or screen that is shown to the tablet, never in the log.
	Invitation struct {
		Token   Digest `json:"token"` // SHA-256 of the token
		Expires Stamp  `json:"expires"`
		Name    string `json:"name,omitzero"` // what the tablet is to be called
		Evidence
	}

	// Device is the data of device.enrolled.
	Device struct {
		Device     DeviceID `json:"device"`
		Name       string   `json:"name"`
		LogKey     string   `json:"log_key"`     // verifies the device's checkpoints
		ConnectKey string   `json:"connect_key"` // public nkey of its connection
		Invitation EntryID  `json:"invitation"`
		Replaces   DeviceID `json:"replaces,omitzero"` // the log this one follows after a rollback
		Evidence
	}

	// Revocation is the data of device.revoked. What the device wrote up to
	// then stays in the record.
	Revocation struct {
		Device DeviceID `json:"device"`
		Reason string   `json:"reason"`
		Evidence
	}

	// ForkFound is the data of device.forked: two signed checkpoints that
	// cannot both be true. Both are kept, word for word.
	ForkFound struct {
		Device DeviceID `json:"device"`
		Held   string   `json:"held"`
		Shown  string   `json:"shown"`
		Evidence
	}

	// ClockReading is the data of clock.compared. Offset is the device's
	// clock minus the hub's; RoundTrip bounds the error of the comparison.
	ClockReading struct {
		Device      DeviceID `json:"device"`
		OffsetMs    int64    `json:"offset_ms" span:"offset"`
		RoundTripMs int64    `json:"round_trip_ms" span:"trip"`
		Evidence
	}

	// LogNote is the data of logs.noted: from an entry of the device's log on,
	// counted from 0, its entries say what their writer had seen.
	LogNote struct {
		Device DeviceID `json:"device"`
		From   int64    `json:"from" span:"log"`
		Evidence
	}

	// LogClosing is the data of logs.closed: of a device that was revoked, or
	// showed two histories, only so many entries count. Of two histories they
	// are those that both have.
	LogClosing struct {
		Device DeviceID `json:"device"`
		Counts int64    `json:"counts" span:"log"`
		Evidence
	}

	// LogParting is the data of logs.parted: the hub was brought back from an
	// older copy and wrote on, so its log has two histories. So many entries
	// are common to both. This one goes on.
	LogParting struct {
		Device DeviceID `json:"device"`
		Common int64    `json:"common" span:"log"`
		Evidence
	}
)

func (*Invitation) Kind() Kind   { return DeviceInvited }
func (*Device) Kind() Kind       { return DeviceEnrolled }
func (*Revocation) Kind() Kind   { return DeviceRevoked }
func (*ForkFound) Kind() Kind    { return DeviceForked }
func (*ClockReading) Kind() Kind { return ClockCompared }
func (*LogNote) Kind() Kind      { return LogsNoted }
func (*LogClosing) Kind() Kind   { return LogsClosed }
func (*LogParting) Kind() Kind   { return LogsParted }

func (p *Invitation) Say() string {
	return fmt.Sprintf("a tablet%s may join until %s", words.Fill(" called %s", p.Name), p.Expires.Said(p.writing))
}

func (p *Device) Say() string {
	return words.Clauses(fmt.Sprintf("tablet %s joined as %s", p.Device, p.Name), words.Fill("in place of %s", p.Replaces))
}

func (p *Revocation) Say() string {
	return fmt.Sprintf("tablet %s was revoked: %s", p.Device, p.Reason)
}

func (p *ForkFound) Say() string {
	return fmt.Sprintf("the log of %s has two histories; both are kept", p.Device)
}

func (p *ClockReading) Say() string {
	return fmt.Sprintf("clock of %s against the hub’s: %s, round trip %s", p.Device, p.writing.Number(p.Ahead()), p.writing.Number(p.Within()))
}

func (p *LogNote) Say() string {
	return fmt.Sprintf("from entry %d on, tablet %s says in each entry what it had seen", p.From+1, p.Device)
}

func (p *LogClosing) Say() string {
	if p.Counts == 0 {
		return fmt.Sprintf("nothing in the log of tablet %s counts", p.Device)
	}
	return fmt.Sprintf("the log of tablet %s counts up to its entry %d", p.Device, p.Counts)
}

func (p *LogParting) Say() string {
	return fmt.Sprintf("the hub’s log %s has two histories with their first %s in common; this one goes on", p.Device, words.Count(int(p.Common), "entry"))
}

// Ahead is how far the device's clock was before the hub's: "+3.120 s".
func (c *ClockReading) Ahead() string { return words.If(c.OffsetMs >= 0, "+") + seconds(c.OffsetMs) }

// Within bounds how far off the comparison may be: "0.045 s".
func (c *ClockReading) Within() string { return seconds(c.RoundTripMs) }

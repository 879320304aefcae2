package journal_test

import (
	"bytes"
	"testing"
	"time"

	"fettlebook/journal"

	"github.com/cloudevents/sdk-go/v2/event"
)

// The CloudEvents Go SDK is the outside judge of the envelope.
func TestEntriesAreCloudEvents(t *testing.T) {
	for kind := range journal.Kinds() {
		raw := golden(t, kind)
		var ce event.Event
		if err := ce.UnmarshalJSON(raw); err != nil {
			t.Errorf("%s: %v", kind, err)
			continue
		}
		if err := ce.Validate(); err != nil {
			t.Errorf("%s: %v", kind, err)
		}
		e, err := journal.Decode(raw)
		if err != nil {
			t.Fatal(err)
		}
		source, err := e.Source.MarshalText()
		if err != nil {
			t.Fatal(err)
		}
		seen, err := e.Seen.MarshalText()
		if err != nil {
			t.Fatal(err)
		}
		for name, pair := range map[string][2]string{
			"specversion":     {ce.SpecVersion(), e.SpecVersion},
			"id":              {ce.ID(), e.ID.String()},
			"source":          {ce.Source(), string(source)},
			"type":            {ce.Type(), e.Type.String()},
			"subject":         {ce.Subject(), string(e.Subject)},
			"datacontenttype": {ce.DataContentType(), e.DataContentType},
			"by":              {extension(ce, "by"), string(e.By)},
			"boot":            {extension(ce, "boot"), string(e.Boot)},
			"uptime":          {extension(ce, "uptime"), "7200.000"},
			"seen":            {extension(ce, "seen"), string(seen)},
		} {
			if pair[0] != pair[1] || pair[0] == "" {
				t.Errorf("%s: %s is %q for the SDK and %q here", kind, name, pair[0], pair[1])
			}
		}
		if !ce.Time().Equal(time.Time(e.Time)) {
			t.Errorf("%s: the time is %s for the SDK and %s here", kind, ce.Time(), e.Time)
		}
		if !bytes.Equal(ce.Data(), e.Data) {
			t.Errorf("%s: the data is %s for the SDK", kind, ce.Data())
		}
	}
}

func extension(ce event.Event, name string) string {
	text, _ := ce.Extensions()[name].(string)
	return text
}

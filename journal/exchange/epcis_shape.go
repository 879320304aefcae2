package exchange

import "github.com/go-json-experiment/json/jsontext"

// The shapes of EPCIS, as far as they are used here. Names with a colon are
// ours.
type (
	document struct {
		Context  []any  `json:"@context"`
		Type     string `json:"type"`
		Version  string `json:"schemaVersion"`
		Created  string `json:"creationDate"`
		Idle     int    `json:"fettlebook:idle,omitzero"` // entries that count for nothing
		NotRead  int    `json:"fettlebook:unreadable,omitzero"`
		Cautions string `json:"fettlebook:caution"`
		Body     body   `json:"epcisBody"`
	}

	body struct {
		Events []event `json:"eventList"`
	}

	event struct {
		Type     string    `json:"type"`
		ID       string    `json:"eventID"`
		Time     string    `json:"eventTime"`
		Offset   string    `json:"eventTimeZoneOffset"`
		Recorded string    `json:"recordTime,omitzero"`
		Error    *mistaken `json:"errorDeclaration,omitzero"`

		Action string `json:"action,omitzero"`
		// Things are of an ObjectEvent; an empty list is written too.
		Things   *[]string `json:"epcList,omitzero"`
		Parent   string    `json:"parentID,omitzero"` // of an AggregationEvent
		Children []string  `json:"childEPCs,omitempty"`
		Inputs   []string  `json:"inputEPCList,omitempty"` // of a TransformationEvent
		Outputs  []string  `json:"outputEPCList,omitempty"`

		Step        string        `json:"bizStep"`
		Disposition string        `json:"disposition,omitzero"`
		Read        place         `json:"readPoint"`
		Location    place         `json:"bizLocation"`
		Jobs        []transaction `json:"bizTransactionList,omitempty"`
		Sensors     []sensor      `json:"sensorElementList,omitempty"`

		Entry   entry          `json:"fettlebook:entry"`
		About   string         `json:"fettlebook:about,omitzero"`
		By      string         `json:"fettlebook:by,omitzero"`
		Says    string         `json:"fettlebook:says,omitzero"`
		Photos  []photograph   `json:"fettlebook:photographs,omitempty"`
		Marks   []string       `json:"fettlebook:marks,omitempty"`
		Amounts jsontext.Value `json:"fettlebook:amounts,omitzero"`
	}

	mistaken struct {
		Declared string   `json:"declarationTime"`
		Reason   string   `json:"reason"`
		Instead  []string `json:"correctiveEventIDs,omitempty"`
		Says     string   `json:"fettlebook:says,omitzero"`
		By       string   `json:"fettlebook:by,omitzero"`
		Struck   string   `json:"fettlebook:struckBy"` // the correction, whether or not something stands instead
	}

	place struct {
		ID string `json:"id"`
	}

	transaction struct {
		Type string `json:"type"`
		ID   string `json:"bizTransaction"`
	}

	sensor struct {
		Metadata *metadata `json:"sensorMetadata,omitzero"`
		Reports  []report  `json:"sensorReport"`
	}

	metadata struct {
		Start string `json:"startTime,omitzero"`
		End   string `json:"endTime,omitzero"`
		Raw   string `json:"rawData,omitzero"` // the recorder's own file, by its hash
	}

	report struct {
		Type   string   `json:"type"`
		Device string   `json:"deviceID,omitzero"`
		Value  *float64 `json:"value,omitzero"`
		Most   *float64 `json:"maxValue,omitzero"`
		Unit   string   `json:"uom,omitzero"`
		Field  string   `json:"fettlebook:field"` // of the entry's data
		At     string   `json:"fettlebook:at,omitzero"`
		Typed  string   `json:"fettlebook:typed,omitzero"`
	}

	entry struct {
		ID      string `json:"id"`
		Kind    string `json:"kind"`
		Version int    `json:"version"`
		Device  string `json:"device"`
		Number  int64  `json:"number"` // in the device's log, from 1
	}

	photograph struct {
		Hash      string `json:"hash"`
		Role      string `json:"role,omitzero"`
		Taken     string `json:"taken,omitzero"` // the camera's clock
		Withdrawn bool   `json:"withdrawn,omitzero"`
	}
)

// contexts are those of the standard and ours. What has no meaning for readers
// of linked data is kept whole as JSON.
func contexts() []any {
	whole := func(field string) map[string]string {
		return map[string]string{"@id": terms + field, "@type": "@json"}
	}
	return []any{
		"https://ref.gs1.org/standards/epcis/2.0.0/epcis-context.jsonld",
		map[string]any{
			"fettlebook":             terms,
			"fettlebook:entry":       whole("entry"),
			"fettlebook:photographs": whole("photographs"),
			"fettlebook:amounts":     whole("amounts"),
		},
	}
}

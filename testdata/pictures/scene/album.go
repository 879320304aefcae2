package scene

import (
	"bufio"
	"bytes"
	_ "embed" // the album's list
	"fmt"

	"github.com/go-json-experiment/json"
)

//go:embed album.jsonl
var list []byte

// Picture is a shot of the album, under the name by which the story of the demonstration asks for it.
type Picture struct {
	Name string
	Shot
}

// Album lists the pictures of the demonstration. They carry no day, neither on their card nor, but for the zero time in
// its place, in their EXIF: that is put in when they are taken.
func Album() ([]Picture, error) {
	var all []Picture
	lines := bufio.NewScanner(bytes.NewReader(list))
	for lines.Scan() {
		var p struct {
			Name    string  `json:"name"`
			Stage   Stage   `json:"stage"`
			Corner  string  `json:"corner"`
			Mark    string  `json:"mark"`
			Plate   string  `json:"plate"`
			Count   int     `json:"count"`
			Reading string  `json:"reading"`
			Level   float64 `json:"level"`
			Seed    uint64  `json:"seed"`
		}
		if err := json.Unmarshal(lines.Bytes(), &p, json.RejectUnknownMembers(true)); err != nil {
			return nil, fmt.Errorf("picture %d of the album: %w", len(all)+1, err)
		}
		all = append(all, Picture{p.Name, Shot{Stage: p.Stage, Corner: p.Corner, Casting: p.Mark, Plate: p.Plate,
			Seed: p.Seed, Count: p.Count, Reading: p.Reading, Level: p.Level}})
	}
	return all, lines.Err()
}

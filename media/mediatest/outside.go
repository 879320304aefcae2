package mediatest

import (
	"encoding/json"
	"fmt"
	"os"
	"os/exec"
	"regexp"
	"testing"
)

// Missing skips a test for want of something outside, unless the environment
// demands that it be there.
func Missing(t testing.TB, format string, args ...any) {
	t.Helper()
	if os.Getenv("FETTLEBOOK_REQUIRE_OUTSIDE") == "1" {
		t.Fatalf(format, args...)
	}
	t.Skipf(format, args...)
}

// Module gives the folder of a module, fetched if need be.
func Module(t *testing.T, path string) string {
	t.Helper()
	cmd := exec.Command("go", "mod", "download", "-json", path)
	cmd.Dir = t.TempDir() // apart from this project's own go.mod
	cmd.Env = append(os.Environ(), "GOFLAGS=-mod=mod", "GOWORK=off")
	out, err := cmd.Output()
	var got struct{ Dir, Error string }
	if jsonErr := json.Unmarshal(out, &got); err != nil || jsonErr != nil || got.Dir == "" {
		Missing(t, "photographs for this test are missing: go mod download %s: %v %s", path, err, got.Error)
	}
	return got.Dir
}

// Notes is what ExifTool says about one file.
type Notes struct {
	SourceFile  string
	Orientation int    `json:"IFD0:Orientation"`
	Original    string `json:"ExifIFD:DateTimeOriginal"`
	OriginalOff string `json:"ExifIFD:OffsetTimeOriginal"`
	Digitized   string `json:"ExifIFD:CreateDate"`
	DigitizeOff string `json:"ExifIFD:OffsetTimeDigitized"`
}

// ReadNotes asks ExifTool, Debian's package libimage-exiftool-perl.
func ReadNotes(t *testing.T, files []string) []Notes {
	t.Helper()
	program, err := exec.LookPath("exiftool")
	if err != nil {
		Missing(t, "exiftool is missing; install it (Debian: apt-get install libimage-exiftool-perl)")
	}
	args := []string{"-json", "-G1", "-n", "-q", "-IFD0:Orientation", "-ExifIFD:DateTimeOriginal", "-ExifIFD:OffsetTimeOriginal",
		"-ExifIFD:CreateDate", "-ExifIFD:OffsetTimeDigitized"}
	out, err := exec.Command(program, append(args, files...)...).Output()
	var notes []Notes
	if jsonErr := json.Unmarshal(out, &notes); jsonErr != nil {
		t.Fatalf("exiftool: %v, %v", err, jsonErr)
	}
	return notes
}

var (
	notesStamp  = regexp.MustCompile(`^(\d{4}):(\d\d):(\d\d) (\d\d:\d\d:\d\d)$`)
	notesOffset = regexp.MustCompile(`^[+-]\d\d:\d\d$`)
)

// Taken is the time of the photograph as thumb.CameraInfo writes it.
func (n Notes) Taken() string {
	for _, c := range [][2]string{{n.Original, n.OriginalOff}, {n.Digitized, n.DigitizeOff}} {
		m := notesStamp.FindStringSubmatch(c[0])
		if m == nil || m[1] == "0000" {
			continue
		}
		s := fmt.Sprintf("%s-%s-%sT%s", m[1], m[2], m[3], m[4])
		if notesOffset.MatchString(c[1]) {
			s += c[1]
		}
		return s
	}
	return ""
}

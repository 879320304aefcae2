package mediatest_test

import (
	"testing"

	"fettlebook/media"
	"fettlebook/media/mediatest"
)

func TestMemory(t *testing.T) {
	mediatest.TestOriginals(t, func(*testing.T) media.Originals { return mediatest.NewMemory() })
}

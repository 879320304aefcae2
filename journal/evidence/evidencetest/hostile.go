package evidencetest

import (
	"archive/zip"
	"bytes"
	"compress/flate"
	"encoding/binary"
	"fmt"
	"hash/crc32"
	"io/fs"
	"strings"
	"testing"

	"fettlebook/journal/bag"
	"fettlebook/journal/evidence"
)

// Hostile is a file that is made to do harm.
type Hostile struct {
	Name string
	Make func(t testing.TB) []byte
	// Refused is the reason for which it is refused; if it is empty, the file
	// is read and Found is found.
	Refused bag.Reason
	Found   evidence.Code
}

// raw is a file of a ZIP file, down to what no program would write.
type raw struct {
	name, local string // local is what stands before the bytes; name if empty
	data        []byte // as packed
	method      uint16
	flags       uint16
	size        uint32 // unpacked; as packed if 0
	mode        fs.FileMode
	on          int // shares the bytes of the file with this number, if > 0
	gap         int // bytes before it that belong to no file
}

// zipped writes a ZIP file by hand. claim is how many files it states; all of
// them if negative.
func zipped(claim int, files ...raw) []byte {
	var out, directory []byte
	var offsets []int
	for _, f := range files {
		local := f.local
		if local == "" {
			local = f.name
		}
		size := f.size
		if size == 0 {
			size = uint32(len(f.data))
		}
		out = append(out, make([]byte, f.gap)...)
		crc := crc32.ChecksumIEEE(f.data)
		offset := len(out)
		if f.on > 0 {
			offset = offsets[f.on-1]
		} else {
			out = append(out, "PK\x03\x04"...)
			for _, v := range []uint16{20, f.flags, f.method, 0, 0x21} {
				out = binary.LittleEndian.AppendUint16(out, v)
			}
			for _, v := range []uint32{crc, uint32(len(f.data)), size} {
				out = binary.LittleEndian.AppendUint32(out, v)
			}
			out = binary.LittleEndian.AppendUint16(out, uint16(len(local)))
			out = binary.LittleEndian.AppendUint16(out, 0)
			out = append(append(out, local...), f.data...)
		}
		offsets = append(offsets, offset)
		h := zip.FileHeader{}
		if f.mode != 0 {
			h.SetMode(f.mode)
		}
		directory = append(directory, "PK\x01\x02"...)
		for _, v := range []uint16{3<<8 | 20, 20, f.flags, f.method, 0, 0x21} {
			directory = binary.LittleEndian.AppendUint16(directory, v)
		}
		for _, v := range []uint32{crc, uint32(len(f.data)), size} {
			directory = binary.LittleEndian.AppendUint32(directory, v)
		}
		for _, v := range []uint16{uint16(len(f.name)), 0, 0, 0, 0} {
			directory = binary.LittleEndian.AppendUint16(directory, v)
		}
		directory = binary.LittleEndian.AppendUint32(directory, h.ExternalAttrs)
		directory = binary.LittleEndian.AppendUint32(directory, uint32(offset))
		directory = append(directory, f.name...)
	}
	if claim < 0 {
		claim = len(files)
	}
	start := len(out)
	out = append(out, directory...)
	out = append(out, "PK\x05\x06\x00\x00\x00\x00"...)
	out = binary.LittleEndian.AppendUint16(out, uint16(claim))
	out = binary.LittleEndian.AppendUint16(out, uint16(claim))
	out = binary.LittleEndian.AppendUint32(out, uint32(len(directory)))
	out = binary.LittleEndian.AppendUint32(out, uint32(start))
	return append(out, 0, 0)
}

// declared is what every bag begins with.
func declared() raw {
	return raw{name: "d/bagit.txt", data: []byte("BagIt-Version: 1.0\nTag-File-Character-Encoding: UTF-8\n")}
}

func named(name string) raw { return raw{name: name, data: []byte("x")} }

func zeros(n int) []byte {
	var out bytes.Buffer
	w, err := flate.NewWriter(&out, flate.BestCompression)
	if err != nil {
		panic(err) // the level is known
	}
	block := make([]byte, 1<<20)
	for ; n > 0; n -= len(block) {
		if _, err := w.Write(block[:min(n, len(block))]); err != nil {
			panic(err) // writing to memory
		}
	}
	if err := w.Close(); err != nil {
		panic(err)
	}
	return out.Bytes()
}

// HostileFiles lists files that are made to do harm.
func HostileFiles() []Hostile {
	made := func(files ...raw) func(testing.TB) []byte {
		return func(testing.TB) []byte { return zipped(-1, append([]raw{declared()}, files...)...) }
	}
	list := []Hostile{
		{Name: "nothing", Make: func(testing.TB) []byte { return nil }, Refused: bag.NotZip},
		{Name: "a PDF", Make: func(testing.TB) []byte { return []byte("%PDF-1.7\n%%EOF\n" + strings.Repeat(" ", 100)) }, Refused: bag.NotZip},
		{Name: "cut off", Make: func(t testing.TB) []byte { p := honest(t).Pack(); return p[:len(p)*2/3] }, Refused: bag.NotZip},
		{Name: "something behind the end", Make: func(t testing.TB) []byte { return append(honest(t).Pack(), "more"...) }, Refused: bag.NotZip},
		{Name: "no bag", Make: func(testing.TB) []byte { return zipped(-1, named("d/a"), named("d/b")) }, Refused: bag.NotABag},
		{Name: "another bag", Make: made(raw{name: "d/manifest-md5.txt", data: []byte("x")}), Refused: bag.NotABag},
		{Name: "two folders", Make: made(named("e/a")), Refused: bag.NotABag},
		{Name: "a bomb", Make: made(raw{name: "d/data/a", data: zeros(1 << 20), method: zip.Deflate, size: 3 << 30}), Refused: bag.Bomb},
		{Name: "a bomb that lies about its size", Make: made(raw{name: "d/manifest-sha256.txt"},
			raw{name: "d/data/dossier.json", data: zeros(64 << 20), method: zip.Deflate, size: 1000}), Found: evidence.FileBroken},
		{Name: "a manifest that is a bomb", Make: made(raw{name: "d/manifest-sha256.txt", data: zeros(8 << 20), method: zip.Deflate, size: 8 << 20}), Refused: bag.Bomb},
		{Name: "overlapping files", Make: made(named("d/data/a"), raw{name: "d/data/a", local: "d/data/a", data: []byte("x"), on: 2}), Refused: bag.Doubled},
		{Name: "files that share their bytes", Make: made(named("d/data/a"), raw{name: "d/data/b", data: []byte("x"), on: 2}), Refused: bag.Overlaps},
		{Name: "something hidden before the files", Make: func(t testing.TB) []byte { return shifted(honest(t).Pack(), "MZ\x90 a program") }, Refused: bag.NotZip},
		{Name: "something hidden between the files", Make: func(testing.TB) []byte {
			return zipped(-1, declared(), raw{name: "d/manifest-sha256.txt"}, raw{name: "d/bag-info.txt", gap: 100})
		}, Refused: bag.Malformed},
		{Name: "a file of two names", Make: made(raw{name: "d/data/a", local: "d/data/b", data: []byte("x")}), Refused: bag.Malformed},
		{Name: "a file twice", Make: made(named("d/data/a"), named("d/data/a")), Refused: bag.Doubled},
		{Name: "a file twice, in other letters", Make: made(named("d/data/a"), named("d/data/A")), Refused: bag.Doubled},
		{Name: "a file that is a folder", Make: made(named("d/data/a"), named("d/data/a/b")), Refused: bag.Doubled},
		{Name: "a link", Make: made(raw{name: "d/data/a", data: []byte("/etc/passwd"), mode: fs.ModeSymlink | 0o777}), Refused: bag.NotAFile},
		{Name: "a device", Make: made(raw{name: "d/data/a", mode: fs.ModeDevice | 0o666}), Refused: bag.NotAFile},
		{Name: "an encrypted file", Make: made(raw{name: "d/data/a", data: []byte("x"), flags: 1}), Refused: bag.Packing},
		{Name: "a file packed otherwise", Make: made(raw{name: "d/data/a", data: []byte("x"), method: 14}), Refused: bag.Packing},
		{Name: "more files than stated", Make: func(testing.TB) []byte { return zipped(1, declared(), named("d/data/a")) }, Refused: bag.Malformed},
		{Name: "65537 files, one stated", Make: func(testing.TB) []byte { return zipped(1, many(1<<16+1)...) }, Refused: bag.Malformed},
		{Name: "65535 files", Make: func(testing.TB) []byte { return zipped(-1, many(1<<16-1)...) }, Refused: bag.TooMany},
		{Name: "a directory of 200000 files, 60000 stated", Make: func(testing.TB) []byte { return zipped(60000, many(200000)...) }, Refused: bag.Malformed},
		{Name: "a manifest of a million lines", Make: func(testing.TB) []byte {
			var text bytes.Buffer
			for i := range 1000000 {
				fmt.Fprintf(&text, "%064x  data/%d\n", i, i)
			}
			return zipped(-1, declared(), raw{name: "d/manifest-sha256.txt", data: text.Bytes()})
		}, Refused: bag.TooLarge},
		{Name: "a manifest of other things", Make: made(raw{name: "d/manifest-sha256.txt", data: []byte("hello\n")}), Refused: bag.Malformed},
		{Name: "a manifest with a path upwards", Make: made(raw{name: "d/manifest-sha256.txt", data: []byte(strings.Repeat("0", 64) + "  data/../../etc/passwd\n")}), Refused: bag.Malformed},
		{Name: "a manifest with a file twice", Make: made(raw{name: "d/manifest-sha256.txt", data: []byte(strings.Repeat(strings.Repeat("0", 64)+"  data/a\n", 2))}), Refused: bag.Doubled},
		{Name: "a description of 20 MB", Make: described(`{"form":"fettlebook dossier","edition":1,"left":[` + strings.Repeat(`{"what":"","why":""},`, 1000000)), Found: evidence.NoDossier},
		{Name: "a description nested deep", Make: described(`{"form":"fettlebook dossier","edition":1,"left":` + strings.Repeat("[", 1000000)), Found: evidence.NoDossier},
		{Name: "a description with a size beyond all", Make: described(`{"form":"fettlebook dossier","edition":1,"entries":[{"at":"t3fz8c1n/99999999999999999999"}]}`), Found: evidence.NoDossier},
		{Name: "a description of 20000 entries that are not here", Make: enormous, Found: evidence.EntryGone},
		{Name: "a PDF named as a photograph", Make: func(t testing.TB) []byte { return pdfAsPhoto(t) }, Found: evidence.NotAPhoto},
	}
	for _, name := range []string{"../a", "/a", "d/../../a", "d/./a", "d//a", `d\a`, `d/data\..\..\a`, "C:/a", "c:a", "d/data/a b", "d/data/\x00", "d/data/\xff", "d/data/ä", "d/.hidden", "d/data/a.", "a", "d/" + strings.Repeat("a", 400)} {
		list = append(list, Hostile{Name: fmt.Sprintf("a file called %.20q", name), Make: made(named(name)), Refused: bag.BadName})
	}
	return list
}

// shifted puts something before a ZIP file, as self-unpacking programs have it.
func shifted(packed []byte, before string) []byte { return append([]byte(before), packed...) }

func many(n int) []raw {
	list := make([]raw, n)
	for i := range list {
		list[i] = raw{name: fmt.Sprintf("d/data/%d", i)}
	}
	return list
}

func honest(t testing.TB) *Dossier { return New(t, "hostile", 5).Dossier(Options{}) }

func described(text string) func(t testing.TB) []byte {
	return func(t testing.TB) []byte {
		if len(text) < 1<<20 {
			d := honest(t)
			d.Plain = []byte(text)
			return d.Pack()
		}
		// Packed, it would be a bomb.
		return zipped(-1, declared(), raw{name: "d/manifest-sha256.txt"}, raw{name: "d/data/dossier.json", data: []byte(text)})
	}
}

// enormous says that as much is here as can be said, and nothing of it is.
func enormous(t testing.TB) []byte {
	d := honest(t)
	d.Files = map[string][]byte{}
	about := &d.About
	for i := range int64(evidence.MaxEntries) {
		about.Entries = append(about.Entries, evidence.Item{At: evidence.At{Device: Rack, Index: 1000 + i}, ID: about.Entries[0].ID, Why: evidence.ForJob})
	}
	about.Entries = about.Entries[len(about.Entries)-evidence.MaxEntries:]
	about.Seals = []evidence.Seal{{Job: Job, At: about.Entries[0].At}}
	for _, e := range about.Entries {
		about.Seals[0].Covers = append(about.Seals[0].Covers, evidence.Covered{At: e.At})
	}
	return d.Pack()
}

// pdfAsPhoto is a dossier whose shop cites a PDF as a photograph, as only a
// program of somebody's own could.
func pdfAsPhoto(t testing.TB) []byte {
	h := New(t, "pdf", 2)
	pdf := []byte("%PDF-1.7\n1 0 obj\n%%EOF\n")
	for ref := range h.originals {
		h.originals[ref] = pdf
	}
	d := h.Dossier(Options{})
	for i := range d.About.Photos {
		p := &d.About.Photos[i]
		if p.Original {
			delete(d.Files, evidence.OriginalPath(p.Ref, p.Ext))
			p.Original, p.Copy = false, mediaRef(pdf)
			d.Files[evidence.CopyPath(p.Ref, p.Ext)] = pdf
		}
	}
	return d.Pack()
}

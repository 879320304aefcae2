package evidencetest

import (
	"bytes"
	"image/jpeg"
	"maps"
	"slices"
	"strings"
	"testing"

	"fettlebook/journal/evidence"
	"fettlebook/media/mediatest"
)

func plainTamperings() []Tampering {
	some := func(x *Tampered) string { return pick(x, slices.Sorted(maps.Keys(x.D.Files))) }
	change := func(x *Tampered, path string, to func([]byte) []byte) {
		x.Packed = Repack(x.T, x.D.Pack(), func(name string, raw []byte) []byte {
			if strings.HasSuffix(name, "/"+path) {
				return to(raw)
			}
			return raw
		})
	}
	return []Tampering{
		{"plain: a file changed", func(x *Tampered) {
			path := some(x)
			change(x, "data/"+path, x.bend)
			x.want("data/"+path, evidence.FileAltered)
		}},
		{"plain: a file left out", func(x *Tampered) {
			path := some(x)
			change(x, "data/"+path, func([]byte) []byte { return nil })
			x.want("data/"+path, evidence.FileMissing)
		}},
		{"plain: the description changed", func(x *Tampered) {
			change(x, "data/"+evidence.DossierPath, x.bend)
			x.want("data/"+evidence.DossierPath, evidence.FileAltered)
		}},
		{"plain: what is said of the bag changed", func(x *Tampered) {
			change(x, "bag-info.txt", func(raw []byte) []byte { return append(raw, "Contact-Name: nobody\n"...) })
			x.want("bag-info.txt", evidence.FileAltered)
		}},
		{"plain: the list of the other files left out", func(x *Tampered) {
			change(x, "tagmanifest-sha256.txt", func([]byte) []byte { return nil })
			x.want("tagmanifest-sha256.txt", evidence.FileMissing)
		}},
		{"plain: a line of the manifest changed", func(x *Tampered) {
			change(x, "manifest-sha256.txt", func(raw []byte) []byte {
				line := x.Dice.IntN(bytes.Count(raw, []byte("\n")))
				lines := bytes.SplitAfter(raw, []byte("\n"))
				lines[line][0] = "0123456789abcdef0"[strings.IndexByte("0123456789abcdef", lines[line][0])+1]
				x.Where = string(bytes.TrimSpace(lines[line][66:]))
				return bytes.Join(lines, nil)
			})
			x.Want = []evidence.Code{evidence.FileAltered}
		}},
		{"plain: a line of the manifest left out", func(x *Tampered) {
			change(x, "manifest-sha256.txt", func(raw []byte) []byte {
				if !bytes.Contains(raw, []byte("  data/")) {
					return raw // of the other files
				}
				lines := bytes.SplitAfter(raw, []byte("\n"))
				line := x.Dice.IntN(len(lines) - 1)
				x.Where = string(bytes.TrimSpace(lines[line][66:]))
				return bytes.Join(slices.Delete(lines, line, line+1), nil)
			})
			x.Want = []evidence.Code{evidence.FileUnlisted}
		}},
	}
}

func photoTamperings() []Tampering {
	path := func(p *evidence.Photo) string { return evidence.OriginalPath(p.Ref, p.Ext) }
	return []Tampering{
		{"a photograph changed", func(x *Tampered) {
			p := path(x.photo())
			x.D.Files[p] = append(slices.Clone(x.D.Files[p]), 0)
			x.want("data/"+p, evidence.PhotoOther)
		}},
		{"photographs swapped between corners", func(x *Tampered) {
			a, b := x.photo(), x.photo()
			for a == b {
				b = x.photo()
			}
			x.D.Files[path(a)], x.D.Files[path(b)] = x.D.Files[path(b)], x.D.Files[path(a)]
			x.want("data/"+path(a), evidence.PhotoOther)
		}},
		{"photographs swapped in the description", func(x *Tampered) {
			a, b := x.photo(), x.photo()
			for a == b {
				b = x.photo()
			}
			a.Cited, b.Cited = b.Cited, a.Cited
			x.want(a.Cited[0].String(), evidence.PhotoNotCited)
		}},
		{"a thumbnail changed", func(x *Tampered) {
			p := evidence.ThumbPath(x.photo().Thumb)
			x.D.Files[p] = x.bend(x.D.Files[p])
			x.want("data/"+p, evidence.PhotoOther)
		}},
		{"a photograph left out", func(x *Tampered) {
			p := path(x.photo())
			delete(x.D.Files, p)
			x.want("data/"+p, evidence.PhotoGone)
		}},
		{"a photograph left out, from the description too", func(x *Tampered) {
			p := *x.photo()
			uncite(x, p.Cited[0])
			x.want(p.Cited[0].String(), evidence.PhotoNotListed)
		}},
		{"a photograph replaced by a copy of another one", func(x *Tampered) {
			p := x.photo()
			p.Original, p.Copy = false, p.Ref
			other := []byte("\xff\xd8 not what was copied")
			delete(x.D.Files, path(p))
			x.D.Files[evidence.CopyPath(p.Ref, p.Ext)] = other
			x.want("data/"+evidence.CopyPath(p.Ref, p.Ext), evidence.PhotoOther)
		}},
		{"copies without location swapped", func(x *Tampered) {
			x.D = x.H.Dossier(Options{Stripped: true, Card: true, Paper: true})
			a, b := x.copy()
			x.D.Files[copied(a)], x.D.Files[copied(b)] = x.D.Files[copied(b)], x.D.Files[copied(a)]
			x.want("data/"+copied(a), evidence.PhotoOther)
		}},
		{"copies without location swapped, in the description too", func(x *Tampered) {
			x.D = x.H.Dossier(Options{Stripped: true, Card: true, Paper: true})
			a, b := x.copy()
			x.D.Files[copied(a)], x.D.Files[copied(b)] = x.D.Files[copied(b)], x.D.Files[copied(a)]
			a.Copy, b.Copy = b.Copy, a.Copy
			x.want("data/"+copied(a), evidence.CopyOther)
		}},
		{"a copy without location mirrored, in the description too", func(x *Tampered) {
			x.D = x.H.Dossier(Options{Stripped: true, Card: true, Paper: true})
			p, _ := x.copy()
			x.put(p, mirrored(x.T, x.D.Files[copied(p)]))
			x.want("data/"+copied(p), evidence.CopyOther)
		}},
		{"a copy without location that is to be shown mirrored", func(x *Tampered) {
			x.D = x.H.Dossier(Options{Stripped: true, Card: true, Paper: true})
			p, _ := x.copy()
			notes := mediatest.Exif(mediatest.ExifTags{Orientation: 2})
			raw := x.D.Files[copied(p)]
			x.put(p, slices.Concat(raw[:2], []byte{0xff, 0xe1, 0, byte(len(notes) + 2)}, notes, raw[2:]))
			x.want("data/"+copied(p), evidence.NotAPhoto)
		}},
	}
}

func copied(p *evidence.Photo) string { return evidence.CopyPath(p.Ref, p.Ext) }

// copy picks two photographs of which copies are here.
func (x *Tampered) copy() (a, b *evidence.Photo) {
	var here []int
	for i, p := range x.D.About.Photos {
		if !p.Copy.IsZero() {
			here = append(here, i)
		}
	}
	i := pick(x, here)
	here = slices.DeleteFunc(here, func(j int) bool { return i == j })
	return &x.D.About.Photos[i], &x.D.About.Photos[pick(x, here)]
}

// put puts another copy in the place of one.
func (x *Tampered) put(p *evidence.Photo, raw []byte) {
	p.Copy = mediaRef(raw)
	x.D.Files[copied(p)] = raw
}

func mirrored(t testing.TB, raw []byte) []byte {
	t.Helper()
	img, err := jpeg.Decode(bytes.NewReader(raw))
	if err != nil {
		t.Fatal(err)
	}
	return mediatest.JPEG(mediatest.Stored(img, 2), 90, nil)
}

package evidence

import (
	"fmt"
	"strings"

	"fettlebook/journal/bag"
	"fettlebook/journal/words"
)

func (r *reading) checkBytes() (Answer, error) {
	a := Answer{Question: Bytes}
	r.addFaults(&a)
	known := r.known()
	for _, p := range r.bag.Paths() {
		if !known[p] && !paper(p) {
			a.add(Finding{FileStray, No, fmt.Sprintf("The file %s does not belong to this dossier: its description does not name it.", p), nil, paths(p)})
		}
	}
	a.settle(fmt.Sprintf("Yes: %s, each as the manifest lists it, and no other.", words.Count(len(r.files.Hashes), "file")),
		fmt.Sprintf("No: %s packed.", words.Either(len(a.Findings), "file is not as it was", "files are not as they were")), "")
	return a, nil
}

func (r *reading) addFaults(a *Answer) {
	for _, f := range r.files.Faults {
		where := []string{f.Path}
		switch f.Wrong {
		case bag.Altered:
			a.add(Finding{FileAltered, No, fmt.Sprintf("The file %s was changed after it was packed: its hash is not the one that is listed.", f.Path), nil, where})
		case bag.Broken:
			a.add(Finding{FileBroken, No, fmt.Sprintf("The file %s cannot be unpacked.", f.Path), nil, where})
		case bag.Missing:
			a.add(Finding{FileMissing, No, fmt.Sprintf("The file %s is listed and is not here.", f.Path), nil, where})
		case bag.Stray:
			a.add(Finding{FileStray, No, fmt.Sprintf("The file %s does not belong to this dossier: it lies beside what was packed.", f.Path), nil, where})
		case bag.Unlisted:
			a.add(Finding{FileUnlisted, No, fmt.Sprintf("The file %s is here, and no manifest lists it.", f.Path), nil, where})
		}
	}
}

// paper reports whether a file is one for people or for other programs, which
// nothing is proven by.
func paper(path string) bool {
	return path == ReportPDF || path == ReportHTML || strings.HasPrefix(path, RoutesFolder) || strings.HasPrefix(path, SchemasFolder) || strings.HasPrefix(path, OpenFolder)
}

// known lists the files that the description names.
func (r *reading) known() map[string]bool {
	known := map[string]bool{DossierPath: true}
	for _, e := range r.d.Entries {
		known[EntryPath(e.At)], known[ProofPath(e.At)] = true, true
	}
	for _, l := range r.d.Logs {
		for _, s := range l.States {
			known[CheckpointPath(l.Device, s.Size)] = true
			if s.Stamped {
				known[StampPath(l.Device, s.Size)] = true
			}
		}
	}
	for _, p := range r.d.Photos {
		for path := range p.files() {
			known[path] = true
		}
	}
	for _, c := range r.d.Cards {
		known[CardPath(c.Card)] = true
	}
	return known
}

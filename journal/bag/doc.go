// Package bag is the container of what leaves the shop: a bag as in RFC 8493
// (BagIt 1.0), packed as one ZIP file. Whoever unpacks it can check it with
// nothing but a tool that is on every machine:
//
//	cd dossier-4f7kk2m9 && sha256sum -c manifest-sha256.txt
//
// A [Writer] streams files into it one after the other and makes the same
// bytes of the same files: no time of making is in it. What [Open] reads may
// come from anyone. It is refused, with a sentence, before anything of it is
// unpacked if it is not a plain file of the kind that a Writer makes or an
// ordinary ZIP program makes of the unpacked folder: see [Refusal]. Memory is
// bounded, whatever it holds.
package bag

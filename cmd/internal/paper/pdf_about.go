package paper

import (
	"bytes"
	"encoding/xml"
	"fmt"

	"fettlebook/journal/words"
)

// language is that of all papers.
const language = "en"

// describe says in the file what paper it is, for programs that list papers or read
// them aloud: in the way of old, and as XMP (ISO 16684-1). With the headings as an
// outline that is what the library can; it writes no tags.
func (p *print) describe(d *Document) error {
	p.pdf.SetTitle(words.OneLine(d.Title), true)
	p.pdf.SetAuthor(words.OneLine(d.By), true)
	p.pdf.SetSubject(words.OneLine(d.Running), true)
	p.pdf.SetLang(language)
	packet, err := d.packet()
	if err != nil {
		return err
	}
	p.pdf.SetXmpMetadata(packet)
	return nil
}

// packet is the description as XMP.
func (d *Document) packet() ([]byte, error) {
	var b bytes.Buffer
	var failed error
	text := func(s string) string {
		var out bytes.Buffer
		if err := xml.EscapeText(&out, []byte(words.OneLine(s))); err != nil {
			failed = fmt.Errorf("describe the paper: %w", err)
		}
		return out.String()
	}
	at := d.Dated.UTC().Format("2006-01-02T15:04:05Z")
	fmt.Fprintf(&b, `<?xpacket begin="%s" id="W5M0MpCehiHzreSzNTczkc9d"?>
<x:xmpmeta xmlns:x="adobe:ns:meta/"><rdf:RDF xmlns:rdf="http://www.w3.org/1999/02/22-rdf-syntax-ns#">
<rdf:Description rdf:about="" xmlns:dc="http://purl.org/dc/elements/1.1/" xmlns:xmp="http://ns.adobe.com/xap/1.0/">
<dc:format>application/pdf</dc:format>
<dc:title><rdf:Alt><rdf:li xml:lang="x-default">%s</rdf:li></rdf:Alt></dc:title>
<dc:creator><rdf:Seq><rdf:li>%s</rdf:li></rdf:Seq></dc:creator>
<dc:description><rdf:Alt><rdf:li xml:lang="x-default">%s</rdf:li></rdf:Alt></dc:description>
<dc:language><rdf:Bag><rdf:li>%s</rdf:li></rdf:Bag></dc:language>
<xmp:CreateDate>%s</xmp:CreateDate><xmp:ModifyDate>%s</xmp:ModifyDate>
</rdf:Description></rdf:RDF></x:xmpmeta>
<?xpacket end="r"?>`, "\ufeff", text(d.Title), text(d.By), text(d.Running), language, at, at)
	return b.Bytes(), failed
}

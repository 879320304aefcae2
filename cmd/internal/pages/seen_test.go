package pages_test

import (
	"html/template"
	"strings"
	"testing"

	"fettlebook/cmd/internal/pages"
)

// What somebody typed is seen as it is: nothing turns or hides the text of a page. What
// a form sends back is what was typed.
func TestSeen(t *testing.T) {
	const typed = "TRL \u202e1744\x1b<b>\u2066\"'"
	for name, test := range map[string]struct{ page, want string }{
		"text":              {`<p>{{.}}</p>`, `<p>TRL ·1744·&lt;b&gt;·&#34;&#39;</p>`},
		"of a window":       {`<title>{{.}}</title><p>a</p>`, `<title>TRL ·1744·&lt;b&gt;·&#34;&#39;</title><p>a</p>`},
		"said to who hears": {`<img alt="{{.}}" title='{{.}}'>`, `<img alt="TRL ·1744·&lt;b&gt;·&#34;&#39;" title='TRL ·1744·&lt;b&gt;·&#34;&#39;'>`},
		"a field":           {`<input type="text" value="{{.}}" required><i>{{.}}</i>`, "<input type=\"text\" value=\"TRL \u202e1744\x1b&lt;b&gt;\u2066&#34;&#39;\" required><i>TRL ·1744·&lt;b&gt;·&#34;&#39;</i>"},
		"without quotes":    {`<input name=a value={{.}} >`, "<input name=a value=TRL&#32;\u202e1744\x1b&lt;b&gt;\u2066&#34;&#39; >"},
		"a long field":      {`<textarea name="a">{{.}}</textarea>{{.}}`, "<textarea name=\"a\">TRL \u202e1744\x1b&lt;b&gt;\u2066&#34;&#39;</textarea>TRL ·1744·&lt;b&gt;·&#34;&#39;"},
		"a choice":          {`<option value="{{.}}">{{.}}</option>`, "<option value=\"TRL \u202e1744\x1b&lt;b&gt;\u2066&#34;&#39;\">TRL ·1744·&lt;b&gt;·&#34;&#39;</option>"},
		"for a script":      {`<b data-put="{{.}}" class="n">{{.}}</b>`, "<b data-put=\"TRL \u202e1744\x1b&lt;b&gt;\u2066&#34;&#39;\" class=\"n\">TRL ·1744·&lt;b&gt;·&#34;&#39;</b>"},
		"at a page's end":   {`<p>{{.}}`, `<p>TRL ·1744·&lt;b&gt;·&#34;&#39;`},
	} {
		var page strings.Builder
		if err := template.Must(template.New("").Parse(test.page)).Execute(&page, typed); err != nil {
			t.Fatal(err)
		}
		if got := string(pages.Seen([]byte(page.String()))); got != test.want {
			t.Errorf("%s:\n%q, want\n%q", name, got, test.want)
		}
		for _, plain := range []string{page.String()[:len(page.String())/2], "", "<", "</", "<a b=\""} {
			_ = pages.Seen([]byte(plain + "\u202e" + plain)) // not even half a page stops it
		}
	}
}

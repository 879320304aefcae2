package main

import (
	"net/http"
	"net/url"
	"regexp"
	"strings"
	"testing"

	"fettlebook/sync/shoptest"
)

// Programs that watch over a hub and a bench are answered at the machine itself, and from
// elsewhere with the token and with nothing else; and the program's own log says who
// joined, signed in and was refused.
func TestWatched(t *testing.T) {
	h := runHub(t)
	shoptest.WaitUntil(t, "the bench meets its hub", func() bool {
		_, text := h.get(t, h.bench+"/metrics")
		return strings.Contains(text, "\nfettlebook_hub_answers 1")
	})
	shown := []string{"Authorization", "Bearer " + testToken}
	for _, trial := range []struct {
		name   string
		url    string
		header []string
		status int
		holds  []string
	}{
		{"the hub’s health, here", h.desk + "/healthz", nil, 200, []string{`"well":true`, `"role":"hub"`}},
		{"the bench's health, here", h.bench + "/healthz", nil, 200, []string{`"well":true`, `"role":"tablet"`}},
		{"the hub’s figures, here", h.desk + "/metrics", nil, 200, []string{"\nfettlebook_entries{", "\nfettlebook_entries_waiting{", "\nfettlebook_disk_free_bytes ",
			"\nfettlebook_photos_waiting 0", "\nfettlebook_joins_total 1", `fettlebook_refusals_total{what="sign-in"} 0`, `fettlebook_info{device=`}},
		{"the bench's figures, here", h.bench + "/metrics", nil, 200, []string{"\nfettlebook_entries{", "\nfettlebook_hub_answers 1", "\nfettlebook_let_in 1", "\nfettlebook_photos_waiting 0"}},
		{"by a name that somebody pointed here", h.desk + "/metrics", []string{"Host", "elsewhere.example"}, 421, nil},
		{"in the network, without a token", h.network + "/healthz", nil, 401, nil},
		{"in the network, another token", h.network + "/metrics", []string{"Authorization", "Bearer " + testToken[1:]}, 401, nil},
		{"in the network, the token", h.network + "/metrics", shown, 200, []string{"fettlebook_entries{"}},
		{"in the network, the token's health", h.network + "/healthz", shown, 200, []string{`"well":true`}},
		{"the feed, here, without a token", h.desk + "/feed?follow=no", nil, 401, nil},
		{"the feed, here", h.desk + "/feed?follow=no", shown, 200, []string{"event: entry\ndata: {\"device\":", `"type":"shop.founded`, `"type":"device.enrolled`}},
		{"the feed, in the network", h.network + "/feed?follow=no", shown, 200, []string{"event: entry\n"}},
		{"the feed, in the network, another token", h.network + "/feed?follow=no", []string{"Authorization", "Bearer x"}, 401, nil},
		{"a bench has no feed", h.bench + "/feed", shown, 404, nil},
		{"the token opens no page", h.network + "/people", shown, 303, nil},
	} {
		t.Run(trial.name, func(t *testing.T) {
			status, text := h.get(t, trial.url, trial.header...)
			if status != trial.status {
				t.Errorf("%d, want %d: %s", status, trial.status, text)
			}
			for _, want := range trial.holds {
				if !strings.Contains(text, want) {
					t.Errorf("%q is missing: %s", want, text)
				}
			}
			if trial.status != 200 && strings.Contains(text, "fettlebook_") {
				t.Errorf("it tells figures: %s", text)
			}
		})
	}
	h.log.line(t, "level=INFO", "msg=join", "device=", "from=127.0.0.1:")
	for passphrase, says := range map[string]string{"wrong": "sign-in refused", testPassphrase: "sign-in\""} {
		r, err := http.NewRequestWithContext(t.Context(), http.MethodPost, h.network+"/signin", strings.NewReader(url.Values{"passphrase": {passphrase}}.Encode()))
		if err != nil {
			t.Fatal(err)
		}
		r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
		r.Header.Set("Origin", h.network)
		answer, err := h.client.Do(r)
		if err != nil {
			t.Fatal(err)
		}
		answer.Body.Close()
		h.log.line(t, "level=INFO", strings.TrimSuffix(says, `"`), "role=desk", "from=127.0.0.1")
	}
	if _, text := h.get(t, h.desk+"/metrics"); !strings.Contains(text, `fettlebook_refusals_total{what="sign-in"} 1`) || !strings.Contains(text, "fettlebook_sign_ins_total 1") {
		t.Errorf("the sign-ins are not counted: %s", text)
	}
	answer, err := h.client.Post(h.network+"/join", "application/json", strings.NewReader(`{"token":"AAAA","device":"t3fz8c1n","name":"x","log_key":"","connect_key":"","log_proof":"","connect_proof":""}`))
	if err != nil {
		t.Fatal(err)
	}
	answer.Body.Close()
	if answer.StatusCode != http.StatusForbidden {
		t.Errorf("a join with no key: %s", answer.Status)
	}
	h.log.line(t, "level=INFO", `msg="join refused"`, "device=t3fz8c1n", "error=")
	_, text := h.get(t, h.bench+"/healthz")
	if list := h.do(t, "", "hub", "tablets"); !regexp.MustCompile(`(?m)^[0-9a-z]{8}  bench  in use  +\d+  +\d+$`).MatchString(list) {
		t.Errorf("the tablets: %s", list)
	}
	device := regexp.MustCompile(`"device":"([^"]+)"`).FindStringSubmatch(text)[1]
	h.do(t, "", "add", "device.revoked", "--by", "io", "device="+device[:3], "reason=left on a car roof") // the beginning of its name is enough
	h.log.line(t, "level=INFO", "msg=revocation", "device="+device, "person=io")
	if list := h.do(t, "", "hub", "tablets", "--json"); !strings.Contains(list, `"device":"`+device+`","name":"bench","state":"revoked"`) {
		t.Errorf("the tablets: %s", list)
	}
}

package broker_test

import (
	"crypto/ecdsa"
	"crypto/elliptic"
	"crypto/rand"
	"crypto/tls"
	"crypto/x509"
	"encoding/pem"
	"errors"
	"io"
	"net"
	"os"
	"testing"
	"testing/iotest"
	"time"

	"fettlebook/sync/broker"
)

func TestNewCertificate(t *testing.T) {
	now := time.Date(2026, 5, 4, 3, 2, 1, 0, time.UTC)
	certPEM, keyPEM, err := broker.NewCertificate(now, rand.Reader, []string{"hub.local", "192.168.1.20", "::1"})
	if err != nil {
		t.Fatal(err)
	}
	pair, err := tls.X509KeyPair(certPEM, keyPEM)
	if err != nil {
		t.Fatal(err)
	}
	leaf := pair.Leaf
	for _, host := range []string{"hub.local", "192.168.1.20", "::1"} {
		if err := leaf.VerifyHostname(host); err != nil {
			t.Error(err)
		}
	}
	if err := leaf.VerifyHostname("other.local"); err == nil {
		t.Error("valid for a host it was not made for")
	}
	// Somebody who trusts this very certificate can verify it the usual way,
	// at any time within ten years.
	roots := x509.NewCertPool()
	roots.AddCert(leaf)
	for when, ok := range map[time.Time]bool{
		now:                    true,
		now.Add(-time.Hour):    true,
		now.AddDate(10, 0, -1): true,
		now.AddDate(10, 0, 1):  false,
		now.AddDate(0, 0, -2):  false,
	} {
		_, err := leaf.Verify(x509.VerifyOptions{Roots: roots, CurrentTime: when})
		if (err == nil) != ok {
			t.Errorf("verify at %v: %v", when, err)
		}
	}
	if key, ok := leaf.PublicKey.(*ecdsa.PublicKey); !ok || key.Curve != elliptic.P256() {
		t.Errorf("key is %T, want ECDSA P-256", leaf.PublicKey)
	}
	if leaf.SerialNumber.Sign() <= 0 {
		t.Errorf("serial number %v is not positive", leaf.SerialNumber)
	}
	if leaf.IsCA {
		t.Error("the certificate may sign others")
	}
}

func TestNewCertificateNeedsRandomness(t *testing.T) {
	dry := errors.New("dry")
	if _, _, err := broker.NewCertificate(time.Now(), iotest.ErrReader(dry), nil); !errors.Is(err, dry) {
		t.Errorf("%v, want the reader's error", err)
	}
}

// testdata/pinned.pem and its fingerprint were made with OpenSSL 3.0.19:
//
//	openssl ecparam -name prime256v1 -genkey -noout -out key.pem
//	openssl req -x509 -key key.pem -days 3650 -subj "/CN=fingerprint vector" -out pinned.pem
//	openssl x509 -in pinned.pem -pubkey -noout | openssl pkey -pubin -outform der | openssl dgst -sha256 -hex
//
// The last line is the one RFC 7469 appendix A gives for a key pin.
func TestFingerprintAgreesWithOpenSSL(t *testing.T) {
	const want = "66267a98e403d26d6500d4d1bae1ec4fc787879dd28292ffface72c52a96396e"
	file, err := os.ReadFile("testdata/pinned.pem")
	if err != nil {
		t.Fatal(err)
	}
	block, _ := pem.Decode(file)
	cert, err := x509.ParseCertificate(block.Bytes)
	if err != nil {
		t.Fatal(err)
	}
	if got := broker.Fingerprint(cert); got != want {
		t.Errorf("Fingerprint = %s, want %s", got, want)
	}
}

func TestClientTLS(t *testing.T) {
	ours, other := newCert(t), newCert(t)
	ourPin := broker.Fingerprint(ours.Leaf)

	// The certificate is public; only the key is not.
	impostor := other
	impostor.Certificate = ours.Certificate

	for _, tt := range []struct {
		name   string
		pin    string
		server tls.Certificate
		ok     bool
		pinErr bool
	}{
		{name: "the hub", pin: ourPin, server: ours, ok: true},
		{name: "another certificate", pin: ourPin, server: other, pinErr: true},
		{name: "no pin", pin: "", server: ours, pinErr: true},
		{name: "pin cut short", pin: ourPin[:62], server: ours, pinErr: true},
		{name: "our certificate, not our key", pin: ourPin, server: impostor},
	} {
		t.Run(tt.name, func(t *testing.T) {
			err := handshake(t, broker.ClientTLS(tt.pin), tt.server)
			if (err == nil) != tt.ok {
				t.Fatalf("handshake: %v, want ok %v", err, tt.ok)
			}
			var pin *broker.PinError
			if got := errors.As(err, &pin); got != tt.pinErr {
				t.Errorf("handshake: %v, want a PinError: %v", err, tt.pinErr)
			}
		})
	}
}

// A device follows a new key that the one it knows signed, over several
// changes; and nobody who has only an old key gets a device that knows a newer.
func TestClientTLSFollows(t *testing.T) {
	renew := func(old tls.Certificate) tls.Certificate {
		t.Helper()
		certPEM, keyPEM, err := broker.RenewCertificate(time.Now(), rand.Reader, []string{"127.0.0.1"}, old)
		if err != nil {
			t.Fatal(err)
		}
		cert, err := tls.X509KeyPair(certPEM, keyPEM)
		if err != nil {
			t.Fatal(err)
		}
		return cert
	}
	first := newCert(t)
	second := renew(first)
	third := renew(second)
	thief := renew(first)

	torn := third
	torn.Certificate = [][]byte{third.Certificate[0], first.Certificate[0]}
	bare := third
	bare.Certificate = third.Certificate[:1]
	stranger := newCert(t)
	stranger.Certificate = append(stranger.Certificate, first.Certificate[0])
	for _, tt := range []struct {
		name   string
		knows  tls.Certificate
		server tls.Certificate
		ok     bool
	}{
		{"was there", third, third, true},
		{"away for one change", second, third, true},
		{"away for both", first, third, true},
		{"the old key, to who knows the new one", third, first, false},
		{"an old key's other successor, to who knows the new one", third, thief, false},
		{"an old key's other successor, to who knows the second", second, thief, false},
		{"one of the chain left out", first, torn, false},
		{"without those before", second, bare, false},
		{"a stranger with an old certificate behind", first, stranger, false},
		// Who knows neither follows whoever has the key that it knows.
		{"an old key's other successor, to who was away", first, thief, true},
	} {
		err := handshake(t, broker.ClientTLS(broker.Fingerprint(tt.knows.Leaf)), tt.server)
		var pin *broker.PinError
		if (err == nil) != tt.ok || err != nil && !errors.As(err, &pin) {
			t.Errorf("%s: %v, want ok %v", tt.name, err, tt.ok)
		}
	}
	if _, _, err := broker.RenewCertificate(time.Now(), rand.Reader, nil, tls.Certificate{}); err == nil {
		t.Error("a certificate was renewed that is not here")
	}
}

// An expired certificate is still the hub's: a tablet's clock may be anywhere.
func TestClientTLSIgnoresDates(t *testing.T) {
	certPEM, keyPEM, err := broker.NewCertificate(time.Now().AddDate(-20, 0, 0), rand.Reader, nil)
	if err != nil {
		t.Fatal(err)
	}
	old, err := tls.X509KeyPair(certPEM, keyPEM)
	if err != nil {
		t.Fatal(err)
	}
	if err := handshake(t, broker.ClientTLS(broker.Fingerprint(old.Leaf)), old); err != nil {
		t.Error(err)
	}
}

// handshake returns the client's error.
func handshake(t *testing.T, client *tls.Config, cert tls.Certificate) error {
	t.Helper()
	l, err := tls.Listen("tcp", "127.0.0.1:0", &tls.Config{Certificates: []tls.Certificate{cert}})
	if err != nil {
		t.Fatal(err)
	}
	served := make(chan struct{})
	go func() {
		defer close(served)
		conn, err := l.Accept()
		if err != nil {
			return
		}
		defer conn.Close()
		_, _ = io.Copy(io.Discard, conn) // shakes hands, then waits for the client to leave
	}()
	defer func() {
		l.Close()
		wait(t, served, "the server's side of the handshake")
	}()
	dialer := &net.Dialer{Timeout: patience}
	conn, err := tls.DialWithDialer(dialer, "tcp", l.Addr().String(), client)
	if err != nil {
		return err
	}
	return conn.Close()
}

// Package proof makes a log provable: every log is a Merkle tree as in RFC
// 6962, each state of it is a signed checkpoint, and the hub countersigns
// checkpoints with its own time.
//
// A leaf is an entry's bytes. A checkpoint is the text of C2SP
// tlog-checkpoint inside a signed note, readable by a person:
//
//	fettlebook/k7m2q4xw/t3fz8c1n
//	412
//	3q2+7wQ1Zg8b0nQ6mS4nRk2p1t4oVwq0S5oYkqj8w2E=
//
//	— fettlebook/k7m2q4xw/t3fz8c1n pqvA2k0x…
//	— fettlebook/k7m2q4xw/hub 9fG1aAAAAABl…
//
// The first signature is the device's (Ed25519). The second is the hub's, in
// the form of C2SP tlog-cosignature v1: it covers the text and the time at
// which the hub had committed the entries. It is the end-to-end
// acknowledgement and the trusted time at once.
//
// One signature covers everything before it, and one entry can be proven
// without showing another.
package proof

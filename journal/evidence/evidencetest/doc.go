// Package evidencetest makes small dossiers to be verified, honest ones and
// ones that somebody has tampered with: a shop of a hub and two tablets with
// real keys, logs and countersignatures, one job in it with a run, photographs
// and a seal, entries of other jobs in between, and what was added after
// handover. Equal seeds give equal bytes. It is imported by tests only.
package evidencetest

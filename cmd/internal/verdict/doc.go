// Package verdict is what all programs that check a dossier share: reading the
// file and the receipt, and saying what was found, as text and as JSON. It
// knows nothing of hubs, brokers and databases.
package verdict

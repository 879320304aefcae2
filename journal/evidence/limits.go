package evidence

// All caps on a dossier stand here, each with its reason. What its files may
// come to is capped in package bag, an entry in package journal.
const (
	// MaxDossierBytes caps dossier.json: MaxEntries entries with their seals,
	// and the states of logs that they cite.
	MaxDossierBytes = 8 << 20

	// MaxEntries caps the entries: more than all jobs of one vehicle have in
	// its life.
	MaxEntries = 20000

	// MaxLogs caps the logs: all devices that a shop had in many years.
	MaxLogs = 256

	// MaxCheckpoints caps the states of one log: one for every few entries.
	MaxCheckpoints = 8192

	// MaxWitnesses caps the witnesses from outside.
	MaxWitnesses = 32

	// MaxCited caps the states of other logs that entries cite, one for each
	// time that a segment came in between.
	MaxCited = 20000

	// MaxPhotos caps the photographs.
	MaxPhotos = 10000

	// MaxProofBytes caps one proof with its checkpoint.
	MaxProofBytes = 16 << 10

	// MaxCheckpointBytes caps one checkpoint with all its signatures.
	MaxCheckpointBytes = 8 << 10

	// MaxReceipt caps a receipt's text, spaces and line breaks included.
	MaxReceipt = 2000
)

package bag

// All caps on a bag stand here, each with its reason.
const (
	// MaxBytes caps the packed file: a ZIP file without its extension for
	// 64 bits holds no more, and some hundred photographs of full size fit.
	MaxBytes = 1<<32 - 1

	// MaxUnpacked caps what the files come to when they are unpacked.
	MaxUnpacked = 8 << 30

	// MaxFiles caps the files. A ZIP file without its extension for 64 bits
	// holds at most 65535.
	MaxFiles = 60000

	// MaxRatio caps how much larger the files may be than the packed file.
	// Text of entries is packed to a tenth; what is packed to less than a
	// hundredth was made to fill somebody's disk.
	MaxRatio = 100

	// MaxPath caps one path, with the name of the bag's folder.
	MaxPath = 200

	// MaxManifest caps one manifest: MaxFiles lines of a hash and a path of
	// usual length.
	MaxManifest = 8 << 20

	// MaxTag caps every other file beside the payload.
	MaxTag = 64 << 10

	// maxDirectory caps the ZIP file's directory: MaxFiles names of usual
	// length.
	maxDirectory = 12 << 20
)

// Command fettleverify checks a dossier that left a shop: by itself, without a
// network, without the shop, without trusting either. It holds nothing but
// what that needs, so that it can be kept beside the file for years.
//
// Built for js/wasm it is the same check inside the page that
// fettlebook/cmd/fettleverify/page makes.
package main

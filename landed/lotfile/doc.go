// Package lotfile reads the user's files: the lot file, the item lists and
// rate tables it names. It knows every detail of the formats and no
// arithmetic.
//
// [Read] reads a lot file by its path, [Parse] one that is in memory, and
// [Quick] makes a haul of a few figures and a list of items, for those who
// want no lot file. All return a [File]: what was bought,
// and what is planned for it. [New] writes a file to begin with, [Reference] tells
// all that may stand in one.
//
// # Errors
//
// What is wrong with the files is returned at once as [source.Faults], each
// with file, line, column, field and remedy. Any other error is the machine's:
// a file that could not be read.
//
// # Files named in a lot file
//
// They are opened below the lot file's folder and nowhere else, symbolic links
// included. Only the user's defaults, named under with, may stand up to three
// folders above; what they name lies below their own folder. Of a file that does
// not begin as defaults do nothing is reported but that.
package lotfile

/* Mending files: the few faults whose remedy is one word and beyond doubt. */
#ifndef CMD_MEND_H
#define CMD_MEND_H

#include "cmd/job.h"

/* Writes the word that a finding knows for its place (Note.mend) into the file, for all findings of the job
 * that know one, and tells each on standard error. A file that has changed since it was read is left as it
 * is, and so is standard input. Gives the number of words mended. */
size_t mend_files(Job *job);

#endif

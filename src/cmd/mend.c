/* Mending files: see mend.h. */
#include "cmd/mend.h"

#include <errno.h>
#include <string.h>
#include <unistd.h>

/* Of a file of the house that lies on disk. A cell of a table has no mend. */
static bool has_mend(const Note *note)
{
    Span span = note->place[0].span;
    return note->mend && span.text && !span.text->built_in && span.text->first_line == 1 &&
           span.end > span.begin && strcmp(span.text->name, "-");
}

static bool is_unchanged(Job *job, const Text *text)
{
    const char *why;
    size_t length = 0;
    int file = file_open(text->name, &why);
    char *bytes = file < 0 ? NULL : file_read(job->arena, file, TEXT_LIMIT, &length, &why);
    if (file >= 0) close(file);
    return bytes && length == text->length && !memcmp(bytes, text->bytes, length);
}

static bool write_file(Job *job, const Text *text, Note *const *notes, size_t count)
{
    Replacement replacement;
    const char *why;
    if (!replacement_begin(job->arena, &replacement, text->name, &why)) {
        job_trouble(job, "%s cannot be written: %s", text->name, why);
        return false;
    }
    Buffer *out = buffer_to_file(job->arena, replacement.descriptor);
    uint32_t at = 0;
    for (size_t i = 0; i < count; i++) {
        Span span = notes[i]->place[0].span;

        buffer_bytes(out, text->bytes + at, span.begin - at);
        buffer_text(out, notes[i]->mend);
        at = span.end;
    }
    buffer_bytes(out, text->bytes + at, text->length - at);
    if (!buffer_flush(out)) {
        why = strerror(errno);
        replacement_give_up(&replacement);
    } else if (replacement_end(&replacement, &why)) {
        return true;
    }
    job_trouble(job, "%s cannot be written: %s", text->name, why);
    return false;
}

static void tell(Job *job, const Note *note)
{
    Span span = note->place[0].span;
    Position position = text_position(span.text, span.begin);
    buffer_escaped(job->errors, slice_of(span.text->name));
    buffer_print(job->errors, ":%u:%u: mended: ", position.line, position.column);
    buffer_escaped(job->errors, span_slice(span));
    buffer_text(job->errors, " -> ");
    buffer_escaped(job->errors, slice_of(note->mend));
    buffer_char(job->errors, '\n');
}

static size_t mend_file(Job *job, Note *const *notes, size_t count)
{
    const Text *text = notes[0]->place[0].span.text;
    if (!is_unchanged(job, text)) {
        job_trouble(job, "%s has changed since it was read, and is left as it is", text->name);
        return 0;
    }
    if (!write_file(job, text, notes, count)) return 0;
    for (size_t i = 0; i < count; i++) tell(job, notes[i]);
    return count;
}

size_t mend_files(Job *job)
{
    size_t count, mended = 0, kept = 0;
    Note *const *all = notes_sorted(job->notes, &count);
    Note **notes = ARENA_ARRAY(job->arena, Note *, count);
    for (size_t i = 0; i < count; i++) {
        bool again = kept && has_mend(all[i]) &&
                     all[i]->place[0].span.text == notes[kept - 1]->place[0].span.text &&
                     all[i]->place[0].span.begin < notes[kept - 1]->place[0].span.end;
        if (has_mend(all[i]) && !again) notes[kept++] = all[i];
    }
    for (size_t i = 0, next; i < kept; i = next) {
        for (next = i + 1; next < kept && notes[next]->place[0].span.text == notes[i]->place[0].span.text;)
            next++;
        mended += mend_file(job, &notes[i], next - i);
    }
    buffer_flush(job->errors);
    return mended;
}

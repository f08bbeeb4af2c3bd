/* Cells of a CSV file: see csv.h. */
#include "write/csv.h"

#include <string.h>

void csv_text(Buffer *out, Slice text)
{
    bool formula = text.length && strchr("=+-@\t\r", *text.at);
    bool quote = formula;
    for (size_t i = 0; i < text.length && !quote; i++) quote = strchr(",\"\r\n", text.at[i]) != NULL;
    if (!quote) {
        buffer_slice(out, text);
        return;
    }
    buffer_char(out, '"');
    if (formula) buffer_char(out, '\'');
    for (size_t i = 0; i < text.length; i++) {
        if (text.at[i] == '"') buffer_char(out, '"');
        buffer_char(out, text.at[i]);
    }
    buffer_char(out, '"');
}

/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "study/voice.h"

#include <glib/gi18n-lib.h>
#include <math.h>
#include <string.h>

/* A text with one number in the user's writing, as the voice has it; takes nothing. */
static char *
spoken(TbVoice voice, const char *text)
{
    const char *mark = tb_text_mark();
    const char *at = voice.english ? strstr(text, mark) : NULL;

    if (at == NULL)
        return g_strdup(text);
    return g_strdup_printf("%.*s.%s", (int)(at - text), text, at + strlen(mark));
}

static char *
unknown(TbVoice voice)
{
    return g_strdup(voice.english ? "unknown" : _("unknown"));
}

char *
tb_voice_quantity(TbVoice voice, double x, TbQuantity quantity, int decimals)
{
    char text[TB_QUANTITY_TEXT];

    if (!isfinite(x))
        return unknown(voice);
    tb_quantity_say(x, quantity, voice.unit, decimals, text);
    return spoken(voice, text);
}

char *
tb_voice_bare(TbVoice voice, double x, TbQuantity quantity, int decimals)
{
    char text[TB_TEXT_NUMBER];

    if (!isfinite(x))
        return unknown(voice);
    tb_quantity_write(x, quantity, voice.unit, decimals, text);
    tb_text_trim(text);
    return spoken(voice, text);
}

char *
tb_voice_number(TbVoice voice, double x, int decimals)
{
    return tb_voice_quantity(voice, x, TB_QUANTITY_NUMBER, decimals);
}

char *
tb_voice_value(TbVoice voice, double x, const char *unit, int decimals)
{
    g_autofree char *number = NULL;

    if (strcmp(unit, "mm") == 0)
        return tb_voice_quantity(voice, x, TB_QUANTITY_LENGTH, decimals);
    if (strcmp(unit, "deg") == 0)
        return tb_voice_quantity(voice, x, TB_QUANTITY_ANGLE, decimals);
    number = tb_voice_number(voice, x, decimals);
    return strcmp(unit, "degC") == 0 ? g_strconcat(number, " °C", NULL) : g_steal_pointer(&number);
}

char *
tb_voice_gap(TbVoice voice, double gap, int decimals)
{
    char text[TB_TEXT_NUMBER];
    g_autofree char *number = NULL;

    if (!isfinite(gap))
        return unknown(voice);
    tb_gap_write(gap, voice.unit, decimals, text);
    tb_text_trim(text);
    number = spoken(voice, text);
    return g_strconcat(number, " ", tb_length_unit_name(voice.unit), NULL);
}

char *
tb_voice_keep(TbVoice voice, double keep, int decimals)
{
    char text[TB_TEXT_NUMBER];
    g_autofree char *number = NULL;

    if (!isfinite(keep))
        return unknown(voice);
    tb_keep_write(keep, voice.unit, decimals, text);
    number = spoken(voice, text);
    return g_strconcat(number, " ", tb_length_unit_name(voice.unit), NULL);
}

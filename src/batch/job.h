/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file job.h
 * @brief What every command needs: its arguments, the bay, a study, and a way to say what is wrong.
 *
 * Exit codes: TB_EXIT_OK; TB_EXIT_SHORT when something is short; TB_EXIT_WRONG when it cannot be
 * judged: arguments, the file, the disk. Errors are one sentence on standard error.
 */
#pragma once

#include "study/study.h"

#include <glib.h>

enum { TB_EXIT_OK = 0, TB_EXIT_SHORT = 1, TB_EXIT_WRONG = 2 };

/** One command of the program. */
typedef struct TbCommand {
    const char *name;
    const char *arguments; /**< for the help: "FILE --item ID -o OUT.csv" */
    const char *summary;   /**< one line, to be translated */
    int (*run)(const struct TbCommand *command, int argc, char **argv);
} TbCommand;

extern const TbCommand tb_command_check, tb_command_stations, tb_command_cut, tb_command_curve,
    tb_command_solid, tb_command_compare, tb_command_pack, tb_command_tables, tb_command_templates,
    tb_command_keeps, tb_command_scatter;

/** A bay opened for one command. */
typedef struct TbJob {
    char *file;   /**< as the user gave it; "standard input" for "-" */
    char *folder; /**< where its scans start */
    TbBay *bay;
    TbStore *store;
    TbWork *work;
    TbStudy *study;
    TbTask task; /**< progress on a terminal after a second */
    gint64 began;
    bool showing;
    TbAsk ask;
} TbJob;

/**
 * Read the options of a command with GLib's parser; adds --help. Says what is wrong itself.
 *
 * @param least,most how many files remain
 * @return true to go on; false: end with *status
 */
bool tb_job_arguments(const TbCommand *command,
                      const GOptionEntry entries[],
                      int *argc,
                      char ***argv,
                      int least,
                      int most,
                      int *status);

/** Open a bay and start its study; false when it cannot be read, which is said. */
bool tb_job_open(TbJob *job, const char *file, const char *state, const char *variant);
void tb_job_close(TbJob *job);

/** Print a fault as "PLACE:LINE: sentence". */
void tb_job_say(const char *place, const TbFault *fault);

/** Print one sentence to standard error. */
void tb_job_complain(const char *format, ...) G_GNUC_PRINTF(1, 2);

/** Take the progress line off the terminal before something else is printed. */
void tb_job_hush(TbJob *job);

/** The study has answered: hush, and say what is wrong with the bay. @return status == TB_OK */
bool tb_job_answered(TbJob *job, TbStatus status, const TbFault *fault);

/** Write bytes to a file, or to standard output for "-"; says what is wrong. */
bool tb_job_write(const char *path, const void *bytes, size_t size);

/** A sink of bytes: standard output, which has them when it returns. @p user is not looked at. */
TbStatus tb_job_standard_output(void *user, const void *bytes, size_t size, TbFault *fault);

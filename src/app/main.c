/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "app/application.h"
#include "base/mem.h"

#include <glib/gi18n.h>
#include <gsl/gsl_errno.h>
#include <locale.h>

int
main(int argc, char **argv)
{
    g_autoptr(TbApplication) application = NULL;
    /* where an uninstalled program finds its translations */
    const char *locales = g_getenv("TB_LOCALE_DIR");

    setlocale(LC_ALL, "");
    bindtextdomain(GETTEXT_PACKAGE, locales == NULL ? TB_LOCALE_DIR : locales);
    bind_textdomain_codeset(GETTEXT_PACKAGE, "UTF-8");
    textdomain(GETTEXT_PACKAGE);
    gsl_set_error_handler_off();
    tb_mem_keep();

    g_set_prgname("tightbay");
    g_set_application_name("Tightbay");
    application = tb_application_new();
    return g_application_run(G_APPLICATION(application), argc, argv);
}

#!/usr/bin/env python3
# SPDX-License-Identifier: GPL-3.0-or-later
"""A desktop that tells its colour scheme, as desktops' portals do: what it prefers is a line of
standard input, "1" for dark and "2" for light; each is answered by the same line once it is told."""
import sys

import gi

gi.require_version("Gio", "2.0")
from gi.repository import Gio, GLib  # noqa: E402

PATH = "/org/freedesktop/portal/desktop"
NAME = "org.freedesktop.portal.Desktop"
SETTINGS = "org.freedesktop.portal.Settings"
INTERFACE = Gio.DBusNodeInfo.new_for_xml(f"""
<node><interface name="{SETTINGS}">
  <method name="Read"><arg type="s" direction="in"/><arg type="s" direction="in"/>
    <arg type="v" direction="out"/></method>
  <signal name="SettingChanged"><arg type="s"/><arg type="s"/><arg type="v"/></signal>
</interface></node>""").interfaces[0]

preferred = 2
bus = Gio.bus_get_sync(Gio.BusType.SESSION)


def answer(_bus, _sender, _path, _interface, _method, arguments, invocation):
    space, key = arguments.unpack()
    if (space, key) == ("org.freedesktop.appearance", "color-scheme"):
        value = GLib.Variant("v", GLib.Variant("u", preferred))
        invocation.return_value(GLib.Variant.new_tuple(GLib.Variant.new_variant(value)))
    else:
        invocation.return_dbus_error(f"{NAME}.Error.NotFound", "no such setting")


def told(channel, _condition):
    global preferred
    line = channel.readline()
    if not line:
        loop.quit()
        return False
    preferred = int(line)
    bus.emit_signal(None, PATH, SETTINGS, "SettingChanged", GLib.Variant(
        "(ssv)", ("org.freedesktop.appearance", "color-scheme", GLib.Variant("u", preferred))))
    bus.flush_sync()
    print(preferred, flush=True)
    return True


loop = GLib.MainLoop()
bus.register_object(PATH, INTERFACE, answer, None, None)
Gio.bus_own_name_on_connection(bus, NAME, Gio.BusNameOwnerFlags.NONE,
                               lambda *_: print("here", flush=True), lambda *_: loop.quit())
GLib.io_add_watch(sys.stdin, GLib.PRIORITY_DEFAULT, GLib.IO_IN | GLib.IO_HUP, told)
loop.run()

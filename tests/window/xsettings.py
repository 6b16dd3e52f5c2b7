#!/usr/bin/env python3
# SPDX-License-Identifier: GPL-3.0-or-later
"""A desktop's settings on the X server, as its settings daemon keeps them (the XSETTINGS protocol):
the theme's name is a line of standard input, answered by the same line once it is set."""
import ctypes
import ctypes.util
import struct
import sys

x = ctypes.CDLL(ctypes.util.find_library("X11"))
x.XOpenDisplay.restype = ctypes.c_void_p
x.XDefaultRootWindow.restype = x.XInternAtom.restype = ctypes.c_ulong
x.XCreateSimpleWindow.restype = ctypes.c_ulong
REPLACE = 0
STRING = 1
STRUCTURE = 1 << 17


class ClientMessage(ctypes.Structure):
    _fields_ = [("type", ctypes.c_int), ("serial", ctypes.c_ulong), ("sent", ctypes.c_int),
                ("display", ctypes.c_void_p), ("window", ctypes.c_ulong),
                ("message", ctypes.c_ulong), ("format", ctypes.c_int),
                ("data", ctypes.c_long * 5), ("rest", ctypes.c_long * 24)]


display = ctypes.c_void_p(x.XOpenDisplay(None))
root = ctypes.c_ulong(x.XDefaultRootWindow(display))
window = ctypes.c_ulong(x.XCreateSimpleWindow(display, root, -9, -9, 1, 1, 0, 0, 0))
serial = 0


def atom(name):
    return ctypes.c_ulong(x.XInternAtom(display, name.encode(), 0))


def padded(data):
    return data + b"\0" * (-len(data) % 4)


def tell(theme):
    """One setting: Net/ThemeName."""
    global serial
    serial += 1
    name, value = b"Net/ThemeName", theme.encode()
    data = struct.pack("<BxxxII", 0, serial, 1) + struct.pack("<BxH", STRING, len(name))
    data += padded(name) + struct.pack("<II", serial, len(value)) + padded(value)
    kind = atom("_XSETTINGS_SETTINGS")
    x.XChangeProperty(display, window, kind, kind, 8, REPLACE, data, len(data))
    x.XSync(display, 0)


def take_over():
    owner = atom("_XSETTINGS_S0")
    x.XSetSelectionOwner(display, owner, window, ctypes.c_ulong(0))
    event = ClientMessage(type=33, display=display, window=root.value,
                          message=atom("MANAGER").value, format=32)
    event.data[1], event.data[2] = owner.value, window.value
    x.XSendEvent(display, root, 0, ctypes.c_long(STRUCTURE), ctypes.byref(event))
    x.XSync(display, 0)


tell("Default")
take_over()
print("here", flush=True)
for line in sys.stdin:
    tell(line.strip())
    print(line.strip(), flush=True)

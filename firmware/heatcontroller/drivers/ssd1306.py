# SSD1306, 128 x 64, on I2C. Written from the data sheet, because the driver that MicroPython
# offers is a package apart and sends the whole picture at once: 25 ms, a late mains cycle. Here
# each of its eight pages (8 rows of dots) is sent by itself, in 3 ms.

WIDTH = 128
HEIGHT = 64
PAGES = 8
ADDRESS = 0x3C  # 0x3D where the module's address pin is high

_COMMAND = 0x80  # control byte: one command byte follows
_DATA = 0x40  # control byte: only data follow

# Data sheet, section 10 and the charge pump's application note.
_START = (
    b"\xae"  # display off
    b"\xd5\x80"  # clock as at power-on
    b"\xa8\x3f"  # 64 rows
    b"\xd3\x00\x40"  # no offset, first line 0
    b"\x8d\x14"  # charge pump on: the module has 3.3 V only
    b"\x20\x02"  # page addressing
    b"\xa1\xc8"  # column 127 and row 63 first: the pins are above the glass
    b"\xda\x12"  # row lines alternate
    b"\x81\x8f"  # contrast
    b"\xd9\xf1\xdb\x40"  # pre-charge and deselect level for the charge pump
    b"\xa4\xa6"  # show the memory, lit is 1
    b"\xaf"  # display on
)


class Ssd1306:
    def __init__(self, i2c, address: int = ADDRESS) -> None:
        self._i2c = i2c
        self._address = address
        self._command = bytearray((_COMMAND, 0))
        self.picture = bytearray(WIDTH * PAGES)
        data = bytes((_DATA,))
        view = memoryview(self.picture)
        self._pages = [(data, view[page * WIDTH : (page + 1) * WIDTH]) for page in range(PAGES)]
        self.alive = True
        self._guarded(self._start)

    def show_page(self, page: int) -> None:
        if self.alive:
            self._guarded(self._send_page, page)

    def _guarded(self, send, *arguments) -> None:
        # A panel that came loose must not stop a run: it only goes dark.
        try:
            send(*arguments)
        except OSError:
            self.alive = False

    def _start(self) -> None:
        for byte in _START:
            self._send(byte)

    def _send_page(self, page: int) -> None:
        self._send(0xB0 | page)
        self._send(0x00)  # column, low digit
        self._send(0x10)  # column, high digit
        self._i2c.writevto(self._address, self._pages[page])

    def _send(self, byte: int) -> None:
        self._command[1] = byte
        self._i2c.writeto(self._address, self._command)

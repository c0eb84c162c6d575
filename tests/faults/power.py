"""What a power cut may leave of files, worked out from what a program did to them (recorder.c).

Until a file was synced, any of its sectors that were written since may be old, new, any state in
between, or torn (the first bytes new, the rest old), and its size any that it had. Until the folder
was synced, a name may still lead to what it led to, or to nothing, or to what it was last given.
What was synced is there. That is more than most disks and file systems do wrong.
"""
import os
import struct

SECTOR = 512
RECORD = struct.Struct("=c3xiqqqq")


def read_trace(path):
    """[(op, fd, at, begun_ns, data)] in the order in which it was done."""
    with open(path, "rb") as file:
        data = file.read()
    ops, at = [], 0
    while at + RECORD.size <= len(data):
        op, fd, offset, begun, _, size = RECORD.unpack_from(data, at)
        at += RECORD.size
        ops.append((op.decode(), fd, offset, begun, data[at:at + size]))
        at += size
    return ops


class File:
    def __init__(self, content=b""):
        self.now = bytearray(content)
        self.durable = bytes(content)
        self.pending = {}           # sector -> its contents since the last sync
        self.sizes = []

    def write(self, at, data):
        end = at + len(data)
        if end > len(self.now):
            self.now.extend(bytes(end - len(self.now)))
            self.sizes.append(end)
        self.now[at:end] = data
        for sector in range(at // SECTOR, (end + SECTOR - 1) // SECTOR):
            self.pending.setdefault(sector, []).append(
                bytes(self.now[sector * SECTOR:(sector + 1) * SECTOR]).ljust(SECTOR, b"\0"))

    def truncate(self, size):
        if size < len(self.now):
            for sector in range(size // SECTOR, (len(self.now) + SECTOR - 1) // SECTOR):
                self.pending.setdefault(sector, []).append(
                    bytes(self.now[sector * SECTOR:min(size, (sector + 1) * SECTOR)])
                    .ljust(SECTOR, b"\0"))
            del self.now[size:]
        else:
            self.now.extend(bytes(size - len(self.now)))
        self.sizes.append(size)

    def sync(self):
        self.durable = bytes(self.now)
        self.pending, self.sizes = {}, []

    def after_cut(self, chance):
        """One of the contents that may be left."""
        size = chance.choice([len(self.durable)] + self.sizes)
        left = bytearray(self.durable.ljust(size, b"\0"))
        likely = chance.choice((0, 0.1, 0.5, 0.9, 1))
        for sector, contents in self.pending.items():
            at = sector * SECTOR
            if at >= size or chance.random() >= likely:
                continue
            new = contents[-1] if chance.random() < 0.7 else chance.choice(contents)
            if chance.random() < 0.1:
                torn = chance.randrange(SECTOR)
                new = new[:torn] + bytes(left[at + torn:at + SECTOR]).ljust(SECTOR - torn, b"\0")
            left[at:at + SECTOR] = new
        return bytes(left[:size])


class Disk:
    """The folder as the program sees it, and as it may be after a cut."""

    def __init__(self, folder):
        self.names = {}
        for name in os.listdir(folder):
            if not name.endswith("-shm"):
                with open(os.path.join(folder, name), "rb") as file:
                    self.names[name] = File(file.read())
        self.durable = dict(self.names)
        self.given = {}             # name -> what it led to since the folder was synced
        self.open = {}              # fd -> File, or self for the folder

    def give(self, name, file):
        if file is None:
            self.names.pop(name, None)
        else:
            self.names[name] = file
        self.given.setdefault(name, []).append(file)

    def sync(self):
        self.durable = dict(self.names)
        self.given = {}

    def do(self, op, fd, at, data, whole=True):
        """One operation; not whole: the power was cut while it was under way."""
        if op in "oc":
            name = data.decode()
            if op == "c":
                self.give(name, File())
            self.open[fd] = self if name == "" else self.names[name]
        elif op == "w":
            self.open[fd].write(at, data)
        elif op == "t":
            self.open[fd].truncate(at)
        elif op == "s":
            if whole:
                self.open[fd].sync()
        elif op == "x":
            self.open.pop(fd, None)
        elif op == "u":
            self.give(data.decode(), None)
        else:
            old, new = data.decode().split("/")
            self.give(new, self.names[old])
            if op == "r":
                self.give(old, None)

    def after_cut(self, chance, folder):
        """Writes one of the states that may be left into an empty folder."""
        for name in sorted(set(self.durable) | set(self.given)):
            file = chance.choice([self.durable.get(name)] + self.given.get(name, []))
            if file is not None:
                with open(os.path.join(folder, name), "wb") as out:
                    out.write(file.after_cut(chance))
        if chance.random() < 0.3:       # of the index nothing was ever synced
            with open(os.path.join(folder, "register.db-shm"), "wb") as out:
                out.write(chance.randbytes(32768))


def near(ops, chance, count):
    """Where to cut, in order, at most so often: anywhere; about a sync; in what is done to the
    register itself."""
    syncs = [i + d for i, op in enumerate(ops) if op[0] == "s" for d in (-1, 0, 1)]
    names, rare = {}, []
    for i, (op, fd, _, _, data) in enumerate(ops):
        if op in "oc":
            names[fd] = data
        if op in "url" or (op in "wt" and names.get(fd) in (b"register.db", b"register.db.new")) \
                or (op in "t" and fd in names):
            rare.append(i)
    places = [range(len(ops)), syncs or range(len(ops)), rare or range(len(ops))]
    cuts = {min(max(chance.choice(places[n % 3]), 0), len(ops) - 1) for n in range(count)}
    return sorted(cuts)

"""A GSM modem on a pseudo-terminal for tests (PDU mode, 3GPP TS 27.005 and 27.007). Standard library only.

Start: python fake_modem.py [--set '{"capacity": 3}']. The first JSON line on stdout names the terminal to open. Settings
and acts come as JSON lines on stdin, events leave as JSON lines on stdout (keep reading them). It ends when stdin closes.
"""

import argparse
import json
import os
import pty
import re
import select
import sys
import time
import tty
from collections.abc import Callable

SETTINGS: dict[str, object] = {
    # The names ending in "next" count down per AT+CMGS.
    "cms_next": 0,
    "cms_code": 500,  # answer +CMS ERROR: cms_code after the text
    "no_prompt_next": 0,  # never send "> "
    "silent_next": 0,  # take the text, send it, answer nothing (the ambiguous case)
    "reset_next": 0,  # restart in the middle: settings gone, echo back on, ^SYSSTART
    "lost_next": 0,  # take the text, do not send it, answer nothing
    "urc_next": 0,  # an inbound +CMTI lands between the text and its +CMGS answer
    "fail_from_part": 0,  # in a long text, part n and later answer cms_code
    "answer_ms": 0,
    "dribble_ms": 0,  # wait before answering; pause between every two bytes
    "report": "cds",
    "report_ms": 5,
    "report_status": 0,  # cds | cdsi | none; TP-Status octet
    "report_times": 1,
    "wrong_reference": False,
    "capacity": 20,
    "sim": "READY",
    "signal": 17,
    "registered": 1,
    "verbose_errors": True,  # False: plain ERROR, as with AT+CMEE=0
}
Act = dict[str, object]


def semi(digits: str) -> str:
    digits += "F" * (len(digits) % 2)
    return "".join(digits[i + 1] + digits[i] for i in range(0, len(digits), 2))


class Modem:
    def __init__(self, master: int, settings: dict[str, object]) -> None:
        self.master, self.set = master, settings
        self.store: dict[int, tuple[int, str]] = {}  # index -> (state 0 unread / 1 read, PDU hex)
        self.reference, self.awaiting_length = 0, -1
        self.line, self.later = b"", list[tuple[float, Callable[[], None]]]()
        self.forget()

    def forget(self) -> None:
        self.echo, self.pdu_mode, self.mt, self.ds = True, False, 0, 0

    def take(self, name: str) -> bool:
        left = int(str(self.set[name]))
        self.set[name] = max(0, left - 1)
        return left > 0

    def out(self, text: str) -> None:
        data = text.encode("latin-1")
        pause = float(str(self.set["dribble_ms"])) / 1000
        for piece in [data[i : i + 1] for i in range(len(data))] if pause else [data]:
            os.write(self.master, piece)
            time.sleep(pause)

    def reply(self, *lines: str) -> None:
        self.out("".join(f"\r\n{line}\r\n" for line in lines))

    def error(self, kind: str, code: object) -> None:
        self.reply(f"+{kind} ERROR: {code}" if self.set["verbose_errors"] else "ERROR")

    def soon(self, ms: object, do: Callable[[], None]) -> None:
        self.later.append((time.monotonic() + float(str(ms)) / 1000, do))

    def feed(self, data: bytes) -> None:
        for byte in data:
            if self.awaiting_length >= 0 and byte in (0x1A, 0x1B):
                text, self.line = self.line, b""
                self.reply("OK") if byte == 0x1B else self.on_text(text.decode("latin-1").strip())
                self.awaiting_length = -1
            elif self.awaiting_length < 0 and byte in (0x0D, 0x0A):
                command, self.line = self.line.decode("latin-1").strip(), b""
                if command:
                    if self.echo:
                        self.out(command + "\r")
                    self.on_command(command)
            elif byte in (0x1A, 0x1B):
                self.line = b""  # outside a prompt both only throw the half-typed line away
            else:
                self.line += bytes([byte])

    def on_text(self, hexpdu: str) -> None:
        try:
            tpdu = bytes.fromhex(hexpdu)[1 + int(hexpdu[:2], 16) :]
        except ValueError:
            return self.error("CMS", 304)
        if len(tpdu) != self.awaiting_length:
            return self.error("CMS", 304)
        first, digits = tpdu[0], tpdu[2]
        address = tpdu[2 : 4 + (digits + 1) // 2]
        part = 0
        if first & 0x40:
            rest = tpdu[2 + len(address) + 2 + (1 if first & 0x18 == 0x10 else 0) + 1 :]
            part = rest[rest[0]] if rest[0] in (5, 6) else 0
        if self.take("reset_next"):
            self.forget()
            self.line = b""
            say("reset")
            return self.soon(50, lambda: self.reply("^SYSSTART"))
        if self.take("lost_next"):
            return say("lost")
        from_part = int(str(self.set["fail_from_part"]))
        if self.take("cms_next") or (from_part and part >= from_part):
            return self.error("CMS", self.set["cms_code"])
        self.reference = (self.reference + 1) % 256
        reference = self.reference
        say("sent", reference=reference, pdu=hexpdu.upper(), part=part)
        if first & 0x20 and self.set["report"] != "none":
            wait = float(str(self.set["report_ms"])) + float(str(self.set["answer_ms"]))
            for _ in range(int(str(self.set["report_times"]))):
                self.soon(wait, lambda: self.send_report(reference, address))
        if self.take("silent_next"):
            return None
        time.sleep(float(str(self.set["answer_ms"])) / 1000)
        if self.take("urc_next"):
            self.inbound(
                "0791521500000099" + "0404A1" + semi("1505") + "0000" + "72306181509021" + "02C119"
            )
        return self.reply(f"+CMGS: {reference}", "OK")

    def send_report(self, reference: int, address: bytes) -> None:
        if self.set["wrong_reference"]:
            reference = (reference + 100) % 256
        stamp = "72306181509021"
        tpdu = f"06{reference:02X}{address.hex().upper()}{stamp}{stamp}{int(str(self.set['report_status'])):02X}"
        pdu = "0791521500000099" + tpdu
        if self.set["report"] == "cds":
            self.out(f"\r\n+CDS: {len(tpdu) // 2}\r\n{pdu}\r\n")
        else:
            self.keep(pdu, "+CDSI")

    def inbound(self, pdu: str) -> None:
        if self.mt == 2:
            self.out(f"\r\n+CMT: ,{len(pdu) // 2 - 1 - int(pdu[:2], 16)}\r\n{pdu}\r\n")
        else:
            self.keep(pdu, "+CMTI")

    def keep(self, pdu: str, urc: str) -> None:
        if len(self.store) >= int(str(self.set["capacity"])):
            return say("refused_full")  # the network keeps it and tries again later
        index = next(i for i in range(1, 256) if i not in self.store)
        self.store[index] = (0, pdu)
        if self.mt or urc == "+CDSI":
            self.reply(f'{urc}: "SM",{index}')

    def shown(self, index: int) -> tuple[int, int, str]:
        state, pdu = self.store[index]
        self.store[index] = (1, pdu)
        return state, len(pdu) // 2 - 1 - int(pdu[:2], 16), pdu

    def on_command(self, command: str) -> None:
        body = command[2:].upper() if command[:2].upper() == "AT" else "?"
        full, used = self.set["capacity"], len(self.store)
        fixed = {
            "": "",
            "+CFUN?": "+CFUN: 1",
            "+CPIN?": f"+CPIN: {self.set['sim']}",
            "+CGMI": "Peer",
            "+CGMM": "Pretend",
            "+CGMR": "1",
            "+CGSN": "000000000000000",
            "+CIMI": "640000000000000",
            "+CSQ": f"+CSQ: {self.set['signal']},99",
            "+CREG?": f"+CREG: 0,{self.set['registered']}",
            "+COPS?": '+COPS: 0,0,"Peer"',
            "+CSCA?": '+CSCA: "+255100000099",145',
            "+CLAC": "+CLAC: +CMGS,+CMGR,+CMGL,+CMGD,+CNMI,+CPMS,+CSCS",
            "+CSCS=?": '+CSCS: ("GSM","UCS2")',
            "+CSCS?": '+CSCS: "GSM"',
            "+CPMS=?": '+CPMS: ("SM"),("SM"),("SM")',
            "+CPMS?": f'+CPMS: "SM",{used},{full},"SM",{used},{full},"SM",{used},{full}',
        }
        if self.set["sim"] != "READY" and body.startswith(("+CMG", "+CSCA", "+CNMI", "+CPMS")):
            return self.error("CMS", 310 if self.set["sim"] == "ABSENT" else 311)
        if body == "+CPIN?" and self.set["sim"] == "ABSENT":
            return self.error("CME", 10)
        if body in fixed:
            return self.reply(*([fixed[body]] if fixed[body] else []), "OK")
        if body == "Z":
            self.forget()
        elif body in ("E0", "E1"):
            self.echo = body == "E1"
        elif body.startswith("+CMGF="):
            self.pdu_mode = body[6:] == "0"
        elif match := re.fullmatch(r"\+CNMI=(\d),(\d),(\d),(\d).*", body):
            self.mt, self.ds = int(match[2]), int(match[4])
        elif body.startswith("+CPMS="):
            return self.reply(f"+CPMS: {used},{full},{used},{full},{used},{full}", "OK")
        elif match := re.fullmatch(r"\+CMGS=(\d+)", body):
            if not self.pdu_mode:
                return self.error("CMS", 302)
            if self.take("no_prompt_next"):
                return None
            self.awaiting_length = int(match[1])
            return self.out("\r\n> ")
        elif match := re.fullmatch(r"\+CMGR=(\d+)", body):
            if int(match[1]) not in self.store:
                return self.error("CMS", 321)
            state, length, pdu = self.shown(int(match[1]))
            return self.reply(f"+CMGR: {state},,{length}\r\n{pdu}", "OK")
        elif match := re.fullmatch(r"\+CMGL(?:=(\d))?", body):
            wanted = [
                i
                for i, (state, _) in sorted(self.store.items())
                if match[1] == "4" or state == int(match[1] or 0)
            ]
            rows = [(i, *self.shown(i)) for i in wanted]
            return self.reply(
                *[f"+CMGL: {i},{state},,{length}\r\n{pdu}" for i, state, length, pdu in rows], "OK"
            )
        elif match := re.fullmatch(r"\+CMGD=(\d+)(?:,(\d))?", body):
            for index in list(self.store) if match[2] == "4" else [int(match[1])]:
                self.store.pop(index, None)
        elif not body.startswith(
            (
                "+CMEE",
                "+CNMA",
                "+CSMP",
                "+CSCS",
                "+COPS=",
                "+CLIP",
                "+CRC",
                "+CVHU",
                "+CSMS",
                "+CFUN=",
                "+CSCA=",
            )
        ):
            return self.reply("ERROR")
        return self.reply("OK")

    def act(self, line: Act) -> None:
        name = line.pop("act", None)
        if name == "inbound":
            self.inbound(str(line["pdu"]))
        elif name == "raw":
            os.write(self.master, bytes.fromhex(str(line["hex"])))
        elif name == "count":
            say("count", stored=len(self.store))
        else:
            self.set.update(known(line))
        say("ok")


def say(event: str, **more: object) -> None:
    print(json.dumps({"event": event, **more}), flush=True)


def known(change: Act) -> Act:
    """Return the change; an unknown setting is a typing error in a test: say so and stop."""
    if unknown := sorted(set(change) - set(SETTINGS)):
        say("error", unknown=unknown)
        sys.exit(2)
    return change


def main() -> None:
    parser = argparse.ArgumentParser()
    parser.add_argument("--set", default="{}")
    settings = {**SETTINGS, **known(json.loads(parser.parse_args().set))}
    master, slave = pty.openpty()
    tty.setraw(slave)  # kept open, so the client may close and open the terminal again
    modem, commands = Modem(master, settings), b""
    say("listening", port=os.ttyname(slave))
    while True:
        ready, _, _ = select.select(
            [master, sys.stdin.fileno()], [], [], 0.005 if modem.later else 0.5
        )
        if master in ready:
            modem.feed(os.read(master, 4096))
        if sys.stdin.fileno() in ready:
            chunk = os.read(sys.stdin.fileno(), 65536)
            if not chunk:
                return
            *lines, commands = (commands + chunk).split(b"\n")
            for line in filter(None, map(bytes.strip, lines)):
                modem.act(json.loads(line))
        now = time.monotonic()
        due = [do for at, do in modem.later if at <= now]
        modem.later = [(at, do) for at, do in modem.later if at > now]
        for do in due:
            do()


if __name__ == "__main__":
    main()

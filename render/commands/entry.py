"""The entry point of the program `midneck`.

It loads the command line only after an interrupt can no longer show where Python was: while the
libraries are imported nothing has been begun, so that the signal ends the process as it stands.
Nor is garbage looked for before there can be any: what is imported stays.
"""

import gc
import signal


def main() -> None:
    """Run the command line and exit with its status."""
    gc.disable()
    if signal.getsignal(signal.SIGINT) is signal.default_int_handler:
        signal.signal(signal.SIGINT, signal.SIG_DFL)
    from .main import main as run

    run()

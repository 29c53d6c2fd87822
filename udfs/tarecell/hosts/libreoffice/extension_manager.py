"""Adds or removes an extension for root, by asking a LibreOffice without a window; runs in a Python that has `uno`.

extension_manager.py SOFFICE add -f FILE [-env:…]  ·  extension_manager.py SOFFICE remove IDENTIFIER [-env:…]
"""

import os
import subprocess
import sys
import time

import uno
import unohelper
from com.sun.star.task import XInteractionHandler
from com.sun.star.ucb import XCommandEnvironment

PATIENCE = 90  # seconds
_APPROVE = uno.getTypeByName("com.sun.star.task.XInteractionApprove")


class Silent(unohelper.Base, XCommandEnvironment, XInteractionHandler):
    """Answers yes: to replacing the version that is there."""

    def getInteractionHandler(self):
        return self

    def getProgressHandler(self):
        return None

    def handle(self, request):
        for answer in request.getContinuations():
            if answer.queryInterface(_APPROVE):
                answer.select()
                return


def connected(office, pipe):
    """The office's context, once it answers."""
    resolver = uno.getComponentContext().ServiceManager.createInstance("com.sun.star.bridge.UnoUrlResolver")
    until = time.monotonic() + PATIENCE
    while True:
        try:
            return resolver.resolve(f"uno:pipe,name={pipe};urp;StarOffice.ComponentContext")
        except Exception:
            if office.poll() not in (None, 81) or time.monotonic() > until:
                raise SystemExit("LibreOffice did not start") from None
            time.sleep(0.1)


def main(soffice, action, *rest):
    place = [word for word in rest if word.startswith("-env:")]
    subject = [word for word in rest if not word.startswith("-")][0]
    pipe = f"tarecell{os.getpid()}"
    office = subprocess.Popen(
        [soffice, "--headless", "--norestore", "--nologo", f"--accept=pipe,name={pipe};urp;", *place]
    )
    try:
        context = connected(office, pipe)
        try:
            change(context, action, subject)
        finally:
            context.ServiceManager.createInstanceWithContext("com.sun.star.frame.Desktop", context).terminate()
            office.wait(PATIENCE)
    finally:
        if office.poll() is None:
            office.kill()


def change(context, action, subject):
    """Adds the file, or removes the extension of that identifier."""
    manager = context.getValueByName("/singletons/com.sun.star.deployment.ExtensionManager")
    abort, answers = manager.createAbortChannel(), Silent()
    if action == "add":
        manager.addExtension(uno.systemPathToFileUrl(os.path.abspath(subject)), (), "user", abort, answers)
    else:
        manager.removeExtension(subject, "", "user", abort, answers)


if __name__ == "__main__":
    try:
        main(*sys.argv[1:])
    except Exception as error:
        raise SystemExit(str(error).splitlines()[0] if str(error) else type(error).__name__) from None

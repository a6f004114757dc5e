"""The whole library, or a part of it, as one documented JSON file, and back; see `README.md` beside this."""

from knowngood_refdata.exchange.forms import UnfitFile
from knowngood_refdata.exchange.storing import Taken, import_library
from knowngood_refdata.exchange.writing import EVERYTHING, What, export_library

__all__ = ["EVERYTHING", "Taken", "UnfitFile", "What", "export_library", "import_library"]

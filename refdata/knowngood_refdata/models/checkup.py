"""What a check-up adds to a session: weighings, answers of measurements, the explanation found true."""

from __future__ import annotations

from sqlalchemy import ForeignKey
from sqlalchemy.orm import Mapped, mapped_column

from knowngood_refdata.models.base import Base, Stamped


class WeighingRow(Stamped, Base):
    """A mass of refrigerant on the scale: what was recovered from the car, or charged into it."""

    __tablename__ = "weighing"

    id: Mapped[int] = mapped_column(primary_key=True)
    session_id: Mapped[int] = mapped_column(ForeignKey("session.id", ondelete="CASCADE"), index=True)
    what: Mapped[str]
    mass_kg: Mapped[float]
    standard_uncertainty: Mapped[float]


class MeasurementAnswer(Stamped, Base):
    """What one further measurement said about the car of a session."""

    __tablename__ = "measurement_answer"

    id: Mapped[int] = mapped_column(primary_key=True)
    session_id: Mapped[int] = mapped_column(ForeignKey("session.id", ondelete="CASCADE"), index=True)
    measurement: Mapped[str]
    answer: Mapped[str]


class ConfirmedCase(Stamped, Base):
    """The explanation of a session that was found to be true, and how."""

    __tablename__ = "confirmed_case"

    id: Mapped[int] = mapped_column(primary_key=True)
    session_id: Mapped[int] = mapped_column(ForeignKey("session.id", ondelete="CASCADE"), index=True)
    explanation: Mapped[str]
    how: Mapped[str]

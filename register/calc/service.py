"""What a position serves, and how much hangs on its device."""

from __future__ import annotations

import numpy as np

from register.calc.word_match import known, said

# Parts of words by which a description hints at a load that saves lives, in four languages.
HINTS = ("fire", "sprinkler", "jockey", "hydrant", "smoke", "feuer", "lösch", "rauch", "incendi", "fumée", "humo")
MAY_SAVE_LIVES = (
    *("centrifugal pump", "positive-displacement pump", "deep-well pump"),
    *("centrifugal fan", "axial fan", "blower", "hoist", "other"),
)


def load_service(*, service_kind: np.ndarray, description: np.ndarray, load_kind: np.ndarray) -> np.ndarray:
    """Whether a position serves the process or saves lives, as far as known.

    Parameters
    ----------
    service_kind : service as entered
    description : what the motor drives
    load_kind : kind of driven machine

    Returns
    -------
    load_service : None where nobody entered it and the description hints at fire or smoke

    Notes
    -----
    What is entered counts. Else a machine that is neither pump nor fan nor hoist serves the process,
    and so does one whose description hints at nothing else (common practice).

    Examples
    --------
    >>> str(load_service(service_kind=None, description="No 2 stock pump", load_kind=None))
    'process'
    >>> load_service(service_kind=None, description="Fire pump 1", load_kind=None).item() is None
    True
    """
    texts = np.asarray(description, object)
    answers = {text: text is not None and any(hint in str(text).lower() for hint in HINTS) for text in set(texts.flat)}
    hinted = np.array([answers[text] for text in texts.flat], bool).reshape(texts.shape)
    harmless = known(load_kind) & ~said(load_kind, *MAY_SAVE_LIVES)
    process = harmless | (known(description) & ~hinted)
    return np.where(known(service_kind), service_kind, np.where(process, "process", None))


def typical_other_motors_a(*, fla_a: np.ndarray, motors_on_device: np.ndarray) -> np.ndarray:
    """Current of the other motors on a device, were each as large as the one entered.

    Parameters
    ----------
    fla_a : full-load current on the nameplate [A]
    motors_on_device : motors that the one device feeds

    Returns
    -------
    typical_other_motors_a : at most so much, the one entered being the largest [A]

    Examples
    --------
    >>> round(float(typical_other_motors_a(fla_a=3.4, motors_on_device=4.0)), 1)
    10.2
    """
    return np.asarray(fla_a, float) * (np.asarray(motors_on_device, float) - 1.0)


def all_motors_a(*, fla_a: np.ndarray, motors_on_device: np.ndarray, other_motors_a: np.ndarray) -> np.ndarray:
    """Full-load current of all motors on a device.

    Parameters
    ----------
    fla_a : full-load current on the nameplate [A]
    motors_on_device : motors that the one device feeds
    other_motors_a : full-load current of the others [A]

    Returns
    -------
    all_motors_a : of the one motor where there is no other [A]

    Examples
    --------
    >>> round(float(all_motors_a(fla_a=3.4, motors_on_device=4.0, other_motors_a=10.2)), 1)
    13.6
    """
    return _with_others(fla_a, motors_on_device, other_motors_a)


def all_code_current_a(
    *, code_current_a: np.ndarray, motors_on_device: np.ndarray, other_motors_a: np.ndarray
) -> np.ndarray:
    """Current by which the US code sizes what carries all motors on a device.

    Parameters
    ----------
    code_current_a : that of the one entered, the largest [A]
    motors_on_device : motors that the one device feeds
    other_motors_a : full-load current of the others [A]

    Returns
    -------
    all_code_current_a : NaN where it is not the US code that holds [A]

    References
    ----------
    NFPA 70-2023, 430.24 and 430.110(C).

    Examples
    --------
    >>> float(all_code_current_a(code_current_a=34.0, motors_on_device=1.0, other_motors_a=float("nan")))
    34.0
    """
    return _with_others(code_current_a, motors_on_device, other_motors_a)


def _with_others(own: np.ndarray, motors: np.ndarray, others: np.ndarray) -> np.ndarray:
    motors = np.asarray(motors, float)
    more = np.where(motors > 1, np.asarray(others, float), np.where(motors == 1, 0.0, np.nan))
    return np.asarray(own, float) + more

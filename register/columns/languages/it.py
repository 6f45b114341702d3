"""Italian."""

CONCEPTS = """
number: numero, num, nr, n
code: codice, cod, identificativo
tag: sigla, tag, posizione, item, sigla utenza, sigla motore, sede tecnica, siglatura
motor: motore, motori, mot
equipment: apparecchiatura, macchina, utenza, utilizzatore, equipaggiamento
asset: matricola cespite, cespite, n cespite, codice macchina, numero cespite, codice cespite, n inventario, inventario, codice sap, cod macchina, n apparecchiatura, numero equipment
starter: avviatore, partenza, partenza motore
drive: inverter, azionamento, convertitore
description: descrizione, denominazione, servizio, funzione, designazione, desc
driven: macchina azionata, macchina comandata, carico, azionata
area: area, reparto, zona, edificio, impianto, ubicazione, locale, settore, luogo, linea
bus: quadro, mcc, qg, sbarra, alimentato da, alimentazione, power center, quadro elettrico, cabina
cubicle: cassetto, cella, colonna, scomparto, cubicolo
power: potenza, pot, kw, cv
current: corrente, ampere, assorbimento, i
voltage: tensione, volt, u
speed: velocità, giri, giri / min, rpm, g / min
frequency: frequenza, freq
poles: poli, n poli, numero poli
phases: fasi, n fasi
rated: nominale, nom, targa, di targa, nominali, assegnata
fullload: pieno carico, a pieno carico
lockedrotor: spunto, avviamento, rotore bloccato
noload: a vuoto, vuoto
ratio: rapporto
torque: coppia
efficiency: rendimento, rend
powerfactor: fattore di potenza, cos phi, cosphi, cosfi, cos fi, cos
servicefactor: fattore di servizio
insulation: isolamento
class: classe, cl
rise: sovratemperatura
enclosure: grado di protezione, ip, protezione ip
frame: grandezza, taglia, carcassa, altezza d'asse, altezza asse, gr
serial: matricola, n di serie, numero di serie, n matricola, n serie, seriale, num matricola
maker: costruttore, marca, fabbricante, casa costruttrice, fornitore
catalogue: codice articolo, riferimento, modello, codice d'ordine
type: tipo, tipologia
method: avv, tipo avviamento, avviamento, tipo di avviamento, metodo di avviamento, modo di avviamento, tipo partenza
overload: relè termico, termico, protezione termica, termica, salvamotore, sovraccarico, rele termico, relè
setting: taratura, tarato, regolazione, tarato a, impostazione, reg
tripclass: classe di intervento, classe intervento
breaker: interruttore, magnetotermico, int, interruttore automatico, automatico
fuse: fusibile, fusibili, fus
protection: protezione, prot
instantaneous: magnetica, istantanea, magnetico
interrupting: potere di interruzione, pdi
size: calibro
minimum: min, minima, minimo
maximum: max, massima, massimo
cable: cavo, cavi, conduttore
length: lunghezza, lungh, lung, distanza
section: sezione, sez, formazione
fault: cortocircuito, icc, corto circuito, cto cto
available: disponibile, presunta
transformer: trasformatore, trafo
system: rete, sistema
criticality: criticità, priorità, importanza
starts: avviamenti, n avviamenti, numero avviamenti, manovre
perhour: ora, / h, / ora, all'ora, h, orari
ramp: rampa, rampa di accelerazione, tempo di rampa, accelerazione, rampa avviamento, tempo rampa
time: tempo, durata
limit: limite, limitazione
initial: iniziale
stop: arresto, fermata, decelerazione
ambient: ambiente, t ambiente
temperature: temperatura, temp
altitude: altitudine, quota
inertia: inerzia
duty: tipo di servizio, servizio s
hazard: atex, zona atex
control: comando, ausiliari, ausiliaria
notes: note, nota, osservazioni, annotazioni, commenti
date: data, giorno
installed: installazione, installato, messa in servizio, montaggio, data installazione
status: stato, condizione
failure: guasto, avaria, rottura
happened: data guasto, data intervento, data odl, data avviso, data evento, data segnalazione
reason: causa, motivo, sintomo, descrizione guasto, testo, descrizione intervento, problema, testo breve, descrizione avviso, anomalia, rilievo
downtime: fermo, ore fermo, tempo di fermo, fermo impianto, ore di fermo, durata fermo, ore perse
order: odl, ordine, ordine di lavoro, n odl, avviso, n ordine
measured: misurata, misurato, assorbita, rilevata
bypass: bypass, by-pass
ct: ta, trasformatore di corrente, rapporto ta
coupling: accoppiamento, trasmissione, giunto
run: ore di marcia, ore funzionamento, ore di funzionamento
year: anno, / anno, annue
capacitor: condensatore, rifasamento
mode: modo di guasto
stock: giacenza, scorta, quantità, q tà, qta, magazzino, scaffale
bearing: cuscinetto, cuscinetti, cuscinetto la, cuscinetto loa, cusc
weight: peso
mounting: forma costruttiva, forma
built: anno di costruzione, anno costruzione, anno fabbricazione
drawing: disegno, schema, n schema, tavola, n disegno, foglio
revision: revisione, rilevato da, aggiornato, verificato, data rilievo
purchase: ordine acquisto, centro di costo, garanzia
colour: colore, vernice
lubrication: grasso, lubrificazione
space: scaldiglia, scaldiglie
vibration: vibrazioni, rumore
rotation: senso di rotazione
io: plc, indirizzo plc
responsible: responsabile, tecnico, squadra, richiedente, manutentore
gear: riduttore, rapporto di riduzione, puleggia
flow: portata, prevalenza, pressione, potenza assorbita
efficiencyclass: classe di efficienza, classe ie, ie
"""
HEADINGS = """
fla_a: In, In (A), I nominale, Corrente nominale, Corrente di targa, Corrente, I nom
power_kw: P (kW), Pn, Potenza, Potenza nominale, Pot., Potenza resa
motor_voltage_v: U (V), Un, Tensione, Vn, Tensione nominale, Tensione di esercizio
speed_rpm: Giri, Giri/min, Velocità, n (giri/min), g/min, Numero di giri
power_factor: cos φ, cosφ, cosfi, Cos fi
efficiency_pct: η, Rendimento
device_kind: Avviamento, Avviatore, Tipo avviamento, Tipo partenza, Partenza
relay_set_a: Taratura termico, Taratura, Termico, Relè termico, Taratura termica, Taratura relè, Ir, Salvamotore, Taratura salvamotore, Protezione termica
protection_rating_a: Interruttore, Fusibile, Fusibili, Taglia interruttore, Calibro, Taglia fusibile, Magnetotermico, In interruttore
cable_size: Cavo, Sezione, Sezione cavo, Formazione cavo, Formazione
cable_length_m: Lunghezza cavo, Lunghezza, Lungh. cavo
fault_current_ka: Icc, Icc (kA), Corrente di cortocircuito
bus: Quadro, Alimentato da, Quadro di alimentazione
locked_rotor_ratio: Is/In, Ia/In, Ispunto/In
locked_rotor_torque_pct: Cs/Cn, Ms/Mn
starts_per_hour: Avviamenti/h, Avviamenti/ora, Avviamenti ora
current_limit_xfla: Limite di corrente, Limitazione di corrente
initial_voltage_pct: Tensione iniziale
setting_recorded_on: Tarature lette il, Data tarature
load_kind: Macchina azionata, Tipo macchina
description: Utenza, Servizio, Macchina
motor: Matricola, Matricola motore
model: Modello avviatore, Modello inverter, Codice avviatore
cause: Guasto, Descrizione guasto
happened_on: Data guasto, Data ODL
"""
WORDS = """
device_kind / across-the-line: diretto, avviamento diretto, diretta, AD, contattore, teleinvertitore, teleruttore, diretto con inversione, dir
device_kind / star-delta: stella-triangolo, stella/triangolo, Y/D, Y/Δ, stella triangolo, S/T, Y-D, stella-tri
device_kind / autotransformer: autotrasformatore
device_kind / soft starter: soft starter, softstarter, avviatore statico, avviatore graduale, soft-start, avviamento graduale, statico, soft
device_kind / drive: inverter, azionamento, convertitore di frequenza, convertitore, sotto inverter, con inverter
power_path / internal bypass: bypass interno, con bypass, bypass integrato
power_path / solid state: senza bypass, tiristori
protection_kind / inverse-time breaker: interruttore magnetotermico, magnetotermico, interruttore, salvamotore, automatico, interruttore automatico, MT, int. magnetotermico
protection_kind / instantaneous breaker: interruttore magnetico, solo magnetico, magnetico, salvamotore magnetico
protection_kind / fuse: fusibile, fusibili, fusibili gG, fusibili aM, fusibile gG, fusibile aM, sezionatore con fusibili
protection_kind / none: nessuna, assente
overload_place / device: nell'inverter, interno, interna, integrata, inverter, nel soft starter, in inverter, incorporata
overload_place / relay: relè, relè termico, termico, salvamotore, bimetallo
overload_place / thermistor: PTC, termistore, sonde PTC
overload_place / none: nessuna, nessuno, senza, assente
thermal_device / PTC thermistor: PTC, termistori, sonde PTC, 3 PTC
thermal_device / thermostat: termostato, klixon
thermal_device / RTD: PT100
thermal_device / none: nessuna, no, assente, nessuno
motor_status / in service: in servizio, in marcia, in esercizio, attivo, funzionante
motor_status / in store: a magazzino, magazzino, scorta, riserva, in magazzino
motor_status / failed: guasto, fuori servizio, in riparazione, bruciato
motor_status / scrapped: rottamato, dismesso
criticality / critical: critico, critica
criticality / essential: essenziale, importante
criticality / ordinary: ordinario, normale, non critico
standby / none: nessuno, no
standby / installed: riserva installata, sì
load_kind / centrifugal pump: pompa, pompa centrifuga, elettropompa
load_kind / positive-displacement pump: pompa volumetrica, pompa monovite, pompa a ingranaggi, pompa dosatrice
load_kind / vacuum pump: pompa da vuoto, pompa del vuoto, pompa vuoto
load_kind / slurry pump: pompa fanghi
load_kind / deep-well pump: pompa pozzo, pompa sommersa
load_kind / centrifugal fan: ventilatore, ventilatore centrifugo, aspiratore, estrattore
load_kind / axial fan: ventilatore assiale
load_kind / blower: soffiante
load_kind / conveyor: nastro, nastro trasportatore, trasportatore, elevatore a tazze
load_kind / screw conveyor: coclea
load_kind / crusher: frantoio, trituratore
load_kind / mill: mulino, molino
load_kind / mixer: miscelatore, impastatrice, mescolatore
load_kind / agitator: agitatore
load_kind / screw compressor: compressore a vite
load_kind / reciprocating compressor: compressore alternativo, compressore a pistoni
load_kind / centrifugal compressor: compressore centrifugo
load_kind / centrifuge: centrifuga
load_kind / hoist: gru, paranco, carroponte
load_kind / saw: sega
load_kind / other: altro
coupling / direct: diretto, giunto, giunto elastico
coupling / belt: cinghia, cinghie
coupling / gear: riduttore, motoriduttore
coupling / chain: catena
coupling / fluid: giunto idraulico
result / passed: buono, conforme, positivo
result / failed: non conforme, negativo
speed_need / fixed: fissa, costante
speed_need / variable: variabile
speed_need / two-speed: due velocità, doppia velocità
motor_type / cage: gabbia, asincrono, a gabbia, gabbia di scoiattolo
motor_type / wound rotor: rotore avvolto, ad anelli, anelli
motor_type / synchronous: sincrono
motor_type / permanent magnet: magneti permanenti
motor_type / direct current: corrente continua
relay_reset / manual: manuale
relay_reset / automatic: automatico
control_scheme / hardwired: cablato
control_scheme / network: rete
device_place / indoor: interno
device_place / outdoor: esterno
device_place / indoor dusty: polveroso
device_place / indoor wet: umido
motor_place / indoor: interno
motor_place / outdoor: esterno
motor_place / indoor dusty: polveroso
motor_place / indoor wet: umido
flag / yes: sì, si, s
flag / no: no
"""
BLANKS = """
not surveyed: sconosciuto, sconosciuta, non rilevato, da verificare, n.d., nd, n/d, non disponibile, da rilevare, manca, non noto, da definire
illegible: illeggibile, targa illeggibile, senza targa, targa mancante, non leggibile
not published: non indicato
not applicable: non applicabile, non previsto, n.p., n/a
"""
PASSED = """
words: di, del, della, dei, delle, da, dal, il, la, lo, le, i, e, in, a, al, per, con, su, un, una, dati, valore, valori, unità
"""
MONTHS = """
months: gen, feb, mar, apr, mag, giu, lug, ago, set, ott, nov, dic
"""
LINES = """
total: totale, somma, subtotale, totale generale, potenza totale, potenza installata
group: arrivo, interruttore generale, quadro, reparto, impianto, zona, edificio, linea, area, cabina, settore
ditto: idem, come sopra, id, c s, vedi sopra
empty: riserva, libero, vuoto, disponibile
stores: scorta, scorte, magazzino, ricambi, ricambio, motori di scorta
attribute: caratteristica, attributo, proprietà, parametro, campo, dato
value: valore
unit: unità, unità di misura, um, u m
"""

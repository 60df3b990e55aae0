from typing import List
